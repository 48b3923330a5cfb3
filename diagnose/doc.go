package diagnose

// Decisions of this package that no single function shows. The package comment is in model.go.
//
// What a reading is worth
//
//   - A foretold reading agrees with all answers in its band (band.go). Two foretold readings are
//     one outcome of a check if either lies within what agrees with the other; what lies between
//     two outcomes is parted in the middle.
//   - A reading that is not firm decides nothing. Yet 85 % of the supply or more is not what stray
//     coupling brings: full volts speak against a floating conductor.
//   - A reading that disagrees makes a fault less likely by 1/49, or by less where priors lie
//     further apart: faults rank by how little they disagree, then by prior. None is removed.
//   - Ohms after a fuse blew: a check is foretold as found after the circuit was worked to its
//     step, so a fuse that blew up to there is open. The reading with the fuse the other way fits
//     as well, since nobody knows how far the circuit was worked: a blown fuse never speaks against
//     the short that blew it. Where the check says "replaced" the fuse is whole, also where it was
//     the fault, and nothing else fits.
//   - Wires touch at the screws of a device on which both land, or in the duct. With wires lifted
//     there both readings fit ([work.Panel.AtScrews]) and decide nothing between the two.
//   - Where the returns of two supplies are bonded, a point's black lead goes to the return of its
//     own source.
//
// Which check comes next
//
//   - The good circuit is never in the list of candidates, and checks part the faults alone.
//     Whether there is a fault at all is what the proof tells.
//   - At most a tenth of what is left may be undecided by a proposed check. With none undecided,
//     one short with a tiny prior that collapses the supply pushed every live check behind a
//     lock-out.
//   - A reading that depends on whether a fuse is blown does not count as decided: the search then
//     asked the same question at one point after another.
//   - Of checks that split what is left alike, at the same cost, the one is taken that would show
//     an earlier wrong reading best.
//
// When it ends
//
//   - No check tells two faults of one group apart. That is not transitive where a reading is not
//     firm (groups.go), so a search may end with several groups that no check parts.
//   - A proof is a check that the good circuit would answer otherwise, at a place where none was
//     made. More than one is asked for where a single wrong reading could still hide a rival that
//     matters. Once a reading is known to be wrong one proof is enough: a second wrong reading in
//     one session is not guarded against.
//   - Before a circuit is called healthy, faults that one reading alone has ruled out are looked
//     at again.
//   - A check that was made is asked for again only where no other tells which reading is wrong,
//     or parts a verdict from a rival that one reading speaks against; a third time where the two
//     answers speak for different faults. So a proof may repeat a check in a truthful session.

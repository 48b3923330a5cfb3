package talk

// Cautions. Sources: NFPA 70E article 120.5, OSHA 29 CFR 1910.147 and 1910.333(b).

// Caution opens every guided session and the help.
const Caution = `CAUTION: a control circuit has live parts at 120 V and more. Only qualified persons
may test live circuits. Local codes, the rules of the site and the licensed person
in charge come before anything this program says.
`

// LockOut comes before the first ohms check, and whenever power was on since.
const LockOut = `LOCK OUT before this check:
  1. Switch off, lock and tag every source of the circuit. Push buttons and
     interlocks are no isolation.
  2. Try the start button: nothing may move.
  3. Test the meter on a known live source.
  4. Test the circuit dead, phase to phase and each to ground.
  5. Test the meter again on the live source.
`

// BackToPower comes when the power goes back on.
const BackToPower = `BACK TO POWER before this check:
  1. Take the leads off, land every lifted wire, put the covers back.
  2. See that all people are clear, and tell them.
  3. Take off locks and tags, each by the person who put it there. Switch on only
     where the start from rest, below, comes to it.
`

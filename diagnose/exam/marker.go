package exam

import (
	"fmt"

	"deadrung/diagnose"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// marker marks the work of candidates on single faults.
type marker struct {
	key        *Key
	models     []*diagnose.Model
	scheme     Scheme
	by         diagnose.By
	complaints []complaints // by circuit
	near       []*nearness
}

func newMarker(k *Key, models []*diagnose.Model, s Scheme) *marker {
	mk := &marker{key: k, models: models, scheme: s, by: diagnose.ByMinutes}
	if k.By == "checks" {
		mk.by = diagnose.ByChecks
	}
	for _, m := range models {
		mk.near = append(mk.near, newNearness(m))
	}
	return mk
}

// hears works out the complaints of all faults, which marking needs.
func (mk *marker) hears() error {
	if mk.complaints != nil {
		return nil
	}
	var all []complaints
	for _, m := range mk.models {
		c, err := complaintsOf(m, mk.by)
		if err != nil {
			return err
		}
		all = append(all, c)
	}
	mk.complaints = all
	return nil
}

func (mk *marker) mark(c CandidateKey, task int, answers []Answers) (Marked, error) {
	t := c.Tasks[task]
	m := mk.models[t.Circuit]
	hidden, err := faultmodel.Find(m.Faults(), string(t.Fault))
	if err != nil {
		return Marked{}, fmt.Errorf("the key does not belong to this circuit: %w", err)
	}
	x := mk.complaints[t.Circuit].needed[hidden]
	d := Marked{Candidate: c.Candidate, Task: task + 1, Circuit: m.Panel().Circuit.Title,
		Fault: t.Fault, Text: m.Faults()[hidden].Text,
		State: Missing, Checks: []MarkedCheck{}, Unsafe: []training.Unsafe{}, Remarks: []string{},
		Chain: chainNone, Expected: Expected{Tenth(x.Checks), Tenth(x.Minutes)}}
	remark := func(format string, args ...any) { d.Remarks = append(d.Remarks, fmt.Sprintf(format, args...)) }
	if len(answers) == 0 {
		remark("no answer log was handed in")
		d.Points, d.Reasons = mk.scheme.Points(&d), mk.scheme.reasons(&d, "")
		return d, nil
	}
	best := mk.take(&d, c, task, answers, remark)
	if line := foreign(best.linked, best.log, mk.complaints[t.Circuit].said[hidden]); line > 0 {
		d.Chain = chainBroken
		remark("line %d is not one that a sitting writes; nothing from there on is marked", line)
		best.cut(line, m.Book())
	}
	s := training.NewSitting(m, hidden, 0)
	if err := s.Resume(best.log); err != nil {
		remark("%v: this cannot have come about at the panel; the work is marked up to there", err)
	}
	history := s.Log()
	end := mk.state(&d, history, remark)
	record := mk.record(best, SittingID(mk.key.Exam, c.Number, task+1), remark)
	mk.times(&d, best, record, remark)
	mk.name(&d, t.Circuit, hidden, log.Log{Entries: history.Entries[:end]})
	d.Unsafe, d.Panel = append(d.Unsafe, s.Unsafe()...), Tenth(s.Minutes())
	if err := mk.checks(&d, s, end); err != nil {
		return d, err
	}
	mk.again(&d, m, hidden, t, history, remark)
	d.Points = mk.scheme.Points(&d)
	stated := ""
	if f, err := faultmodel.Find(m.Faults(), string(d.Stated)); err == nil {
		stated = m.Faults()[f].Text
	}
	d.Reasons = mk.scheme.reasons(&d, stated)
	return d, nil
}

// take reads the answer logs of a sitting and takes the one that counts.
func (mk *marker) take(d *Marked, c CandidateKey, task int, answers []Answers, remark func(string, ...any)) evidence {
	m := mk.models[c.Tasks[task].Circuit]
	sitting := SittingID(mk.key.Exam, c.Number, task+1)
	best := mk.read(answers[0], m, c.Chain, sitting)
	for _, a := range answers[1:] {
		other := mk.read(a, m, c.Chain, sitting)
		if other.better(best) {
			best, other = other, best
		}
		if best.Record == nil {
			best.Record = other.Record
		}
		if !other.begins(best) && !best.begins(other) {
			remark("%s is of the same sitting and differs; it is not marked", other.File)
		}
	}
	d.File, d.Receipt, d.Chain = best.File, best.receipt, chainWhole
	if n := best.followed.Broken; n > 0 {
		d.Chain = chainBroken
		remark("the chain breaks at line %d: it was changed or added, or lines are missing before it; nothing from there on is marked", n)
	}
	if n := best.followed.Torn; n > 0 {
		remark("line %d: the last line is cut short, as by a crash, and is not marked: %s", n, best.cutShort())
	}
	for _, p := range best.problems {
		remark("line %d: %s", p.Pos.Line, p.What)
	}
	return best
}

// state finds what became of the work, and how many entries of the log are before the naming.
func (mk *marker) state(d *Marked, history log.Log, remark func(string, ...any)) (end int) {
	end = len(history.Entries)
	for _, a := range history.Acts {
		if a.Kind == log.StateAct {
			d.State, d.Stated, end = Complete, a.Fault, a.Before
			break
		}
	}
	switch {
	case d.State == Complete:
		if len(history.Entries) > end {
			remark("%d checks after the fault was named are not marked", len(history.Entries)-end)
		}
	case answered(history) > 0:
		d.State = HalfWay
		remark("the candidate stopped before naming a fault")
	default:
		d.State = Begun
		remark("no check was made and no fault named")
	}
	return end
}

// name holds what was named, if anything was, against what was still possible then.
func (mk *marker) name(d *Marked, circuit, hidden int, before log.Log) {
	m, near := mk.models[circuit], mk.near[circuit]
	turn := m.Turn(before, diagnose.Choosing{By: mk.by, Most: -1})
	d.Possible = m.Groups(turn.Left)
	d.Settled = turn.Groups == 1 || turn.Status == diagnose.GroupLeft
	d.Cleared = 1
	if start := m.Doubt(m.Left(training.Complaint(before))); !d.Settled && start > 0 {
		d.Cleared = hundredth(min(1, max(0, 1-m.Doubt(turn.Left)/start)))
	}
	stated, err := faultmodel.Find(m.Faults(), string(d.Stated))
	if err != nil {
		return
	}
	d.Near = near.of(stated, hidden)
	var all float64
	named, asked := false, false // among what is left
	for _, f := range turn.Left {
		named, asked = named || f == stated, asked || f == hidden
	}
	if d.Settled && named && asked {
		d.Near = Exact // no check tells them apart any more
	}
	for _, f := range turn.Left {
		weight, as := m.Faults()[f].Prior, near.of(stated, f)
		if d.Settled && named {
			as = Exact
		}
		all += weight
		for n := OnRung; n <= as; n++ {
			d.Shares[n] += weight
		}
	}
	for n := range d.Shares {
		d.Shares[n] = min(1, d.Shares[n]/all)
	}
	d.Right, d.Share = d.Near >= mk.scheme.asked(), hundredth(d.Shares[mk.scheme.asked()])
}

// checks judges each check up to the end.
func (mk *marker) checks(d *Marked, s *training.Sitting, end int) error {
	replay, err := training.Play(s, mk.by)
	if err != nil {
		return err
	}
	replay.Checks = replay.Checks[:min(len(replay.Checks), end-len(training.Complaint(s.Log()).Entries))]
	for _, j := range replay.Checks {
		c := MarkedCheck{Line: j.Entry.Line, Entry: log.MarshalWith(j.Entry.Check, *j.Entry.Answer), At: j.Entry.At,
			Bits: hundredth(j.Bits), Best: hundredth(j.Most), Left: j.After.Groups, Check: j.Entry.Check, Saw: *j.Entry.Answer}
		if c.Check.Kind() == log.Look {
			d.Looks++
		} else {
			c.Waste = j.Waste
		}
		switch c.Waste {
		case training.Premature:
			d.Premature++
		case training.Redundant:
			d.Redundant++
		case training.Irrelevant:
			d.Irrelevant++
		}
		poor := c.Waste != training.Useful || j.Bits < training.PrematureBelow*j.Most
		if poor && j.Best != nil && j.Before.Groups > 1 {
			c.Better = &j.Best.Check
		}
		d.Checks = append(d.Checks, c)
	}
	d.Replay = &replay
	return nil
}

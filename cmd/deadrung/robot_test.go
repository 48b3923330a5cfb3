package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"deadrung/circuits/read"
	"deadrung/circuits/work"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/log"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

// robotMain is a class of candidates for the scripts. Each sits its packet as a person
// would through "exam sit": by the guided search, safely, a minute or two a check, unless
// its seat is named for something else. It knows no more than its packet.
//
//	robot [-seed N] [-wrong 4,9] [-half 5] [-idle 6] [-careless 7] [-wasteful 8] PACKETS ANSWERS
//	robot -change WORD=WORD FILE      what a hand does to a log
//	robot -cut BYTES FILE
//	robot -lose FILE
//	robot -copy FILE TO
func robotMain() {
	if err := robot(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "robot:", err)
		os.Exit(1)
	}
}

func robot(args []string) error {
	f := flag.NewFlagSet("robot", flag.ContinueOnError)
	seed := f.Uint64("seed", 1, "")
	change := f.String("change", "", "")
	short := f.Int("cut", 0, "")
	lose := f.Bool("lose", false, "")
	copied := f.Bool("copy", false, "")
	seats := make(map[string]*string)
	for _, mode := range []string{"wrong", "half", "idle", "careless", "wasteful"} {
		seats[mode] = f.String(mode, "", "")
	}
	if err := f.Parse(args); err != nil {
		return err
	}
	if *copied {
		names, _ := filepath.Glob(f.Arg(0))
		text, err := os.ReadFile(strings.Join(names, ""))
		if err != nil {
			return err
		}
		return os.WriteFile(f.Arg(1), text, 0o644)
	}
	if *change != "" || *short > 0 || *lose {
		return spoil(f.Arg(0), *change, *short)
	}
	packets, err := filepath.Glob(filepath.Join(f.Arg(0), "*"+packetEnd))
	if err != nil || len(packets) == 0 {
		return errors.New("no packets")
	}
	if err := os.MkdirAll(f.Arg(1), 0o755); err != nil {
		return err
	}
	for _, name := range packets {
		p, err := readPacket(name, streams{})
		if err != nil {
			return err
		}
		is := func(mode string) bool {
			return slices.Contains(strings.Split(*seats[mode], ","), strconv.Itoa(p.Candidate.Number))
		}
		for i := range p.Tasks {
			r := robotCandidate{random: rand.New(rand.NewPCG(*seed, uint64(100*p.Candidate.Number+i))), is: is,
				clock: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
			if err := r.sit(p, i, f.Arg(1)); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
		}
	}
	return nil
}

// spoil changes the first of a word in a file, cuts bytes off its end, or takes it away. The exam's ID
// in the file's name may be written *.
func spoil(pattern, change string, short int) error {
	names, err := filepath.Glob(pattern)
	if err != nil || len(names) != 1 {
		return fmt.Errorf("%s: %d files", pattern, len(names))
	}
	text, err := os.ReadFile(names[0])
	if err != nil {
		return err
	}
	if change == "" && short == 0 {
		return os.Remove(names[0])
	}
	if short > 0 {
		return os.WriteFile(names[0], text[:len(text)-short], 0o644)
	}
	from, to, _ := strings.Cut(change, "=")
	if !bytes.Contains(text, []byte(from)) {
		return fmt.Errorf("%s does not hold %q", names[0], from)
	}
	return os.WriteFile(names[0], bytes.Replace(text, []byte(from), []byte(to), 1), 0o644)
}

type robotCandidate struct {
	random *rand.Rand
	is     func(mode string) bool
	clock  time.Time
	s      *training.Sitting
	m      *diagnose.Model
}

func (r *robotCandidate) now() time.Time { return r.clock }

func (r *robotCandidate) at() string { return r.clock.Format(time.RFC3339) }

func (r *robotCandidate) do(kinds ...log.ActKind) error {
	for _, k := range kinds {
		r.clock = r.clock.Add(20 * time.Second)
		if _, err := r.s.Do(log.Act{Kind: k, At: r.at()}); err != nil {
			return err
		}
	}
	return nil
}

// models of circuits that were made already.
var robotModels = make(map[string]*diagnose.Model)

func (r *robotCandidate) sit(p *exam.Packet, i int, answers string) error {
	file := p.Circuits[p.Tasks[i].Circuit]
	r.m = robotModels[file.Text]
	if r.m == nil {
		c, problems := read.Read(file.File, []byte(file.Text))
		if problems.Err() != nil {
			return problems.Err()
		}
		panel := work.Assemble(c)
		var err error
		if r.m, err = diagnose.New(context.Background(), panel,
			faultmodel.List(panel, faultmodel.Options{}), diagnose.Options{}); err != nil {
			return err
		}
		robotModels[file.Text] = r.m
	}
	panel, err := exam.OpenReadings(r.m, p.Tasks[i].Table, p.Tasks[i].Key)
	if err != nil {
		return err
	}
	r.s = training.NewSittingAt(r.m, panel)
	name := filepath.Join(answers, answersName(p.Exam, p.Candidate.Number, i+1))
	f, _, err := openAnswers(name, r.m, p.Chain, exam.SittingID(p.Exam, p.Candidate.Number, i+1), r.now,
		streams{out: io.Discard, err: io.Discard})
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.append(f.beginning); err != nil {
		return err
	}
	if e, seen := p.Tasks[i].Told(r.m); seen {
		if err := f.complain(r.s, e); err != nil {
			return err
		}
	}
	r.s.Keep(f.append)
	if r.is("idle") {
		return nil
	}
	if r.is("wasteful") {
		first := r.m.Panel().Visible()[0].Name
		for range 3 {
			if err := r.check(log.Check{Look: first, Step: r.m.Panel().Circuit.Steps[0].Name}); err != nil {
				return err
			}
		}
	}
	if r.is("careless") { // whatever the guided search asks: once without power, not locked out
		first := slices.IndexFunc(r.m.Checks(), func(c log.Check) bool { return c.Kind().Off() })
		if err := r.check(r.m.Checks()[first]); err != nil {
			return err
		}
	}
	for n := 0; ; n++ {
		t := r.m.Turn(r.s.Log(), diagnose.Choosing{Most: -1})
		switch {
		case r.is("half") && n == 2:
			return nil
		case t.Groups == 1 || t.Next == nil || n > 60:
			named := t.Candidates[0].Index
			if r.is("wrong") {
				for training.Names(r.m, named, t.Candidates[0].Index) {
					named = r.random.IntN(len(r.m.Faults()))
				}
			}
			r.clock = r.clock.Add(30 * time.Second)
			_, err := r.s.Do(log.Act{Kind: log.StateAct, Fault: r.m.Faults()[named].ID, At: r.at()})
			return err
		}
		if err := r.check(t.Next.Check); err != nil {
			return err
		}
	}
}

// check brings the panel into the condition of a check and makes it.
func (r *robotCandidate) check(c log.Check) error {
	kind := log.WorkAct
	if c.Kind().Off() {
		kind = log.HoldAct
		acts := []log.ActKind{log.LockOutAct, log.TryAct, log.TestMeterAct, log.ProveDeadAct, log.TestMeterAct}
		if r.is("careless") {
			acts = []log.ActKind{log.SwitchOffAct}
		}
		if !r.s.Stand().Off {
			if err := r.do(acts...); err != nil {
				return err
			}
		}
	} else if r.s.Stand().Off {
		if err := r.do(log.RestoreAct); err != nil {
			return err
		}
	}
	if c.Step == "" {
		c.Step = r.m.Panel().Circuit.Steps[0].Name
	}
	if r.s.StepName() != c.Step {
		if _, err := r.s.Do(log.Act{Kind: kind, Step: c.Step, At: r.at()}); err != nil {
			return err
		}
	}
	r.clock = r.clock.Add(time.Duration(30+r.random.IntN(90)) * time.Second)
	_, _, err := r.s.Check(c, r.at())
	return err
}

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/exam"
	"deadrung/diagnose/exam/room"
	"deadrung/diagnose/training"
)

type sitOptions struct {
	packet  string
	answers string // a folder
	server  string // of an exam that is served
	plain   bool
	json    bool
	output  string
	now     func() time.Time
	// patience is for how long the instructor's machine may be away between two faults.
	patience time.Duration
}

func newExamSit(s streams) *cobra.Command {
	o := sitOptions{now: timeNow, patience: awayMost}
	c := &cobra.Command{
		Use:   "sit PACKET",
		Short: "Sit an exam with the packet that the instructor gave you",
		Long: `Sit puts you at the panel: you work the circuit, choose the checks, lock out and bring
the power back, and name the fault. A simulated exam is answered out of the packet; at
a bench you measure on the trainer and enter what you read.

Every answer is in the answer log before the next question. You may stop at any time
and go on later with the same command. Nothing can be taken back.

` + talk.Caution.Plain(),
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fmt.Errorf("name your packet, one file")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			o.packet = args[0]
			ctx, stop := talk.Interruptible(cmd.Context())
			defer stop()
			out := talk.NewPage(s.out)
			if o.json && o.output == "" {
				out, o.plain = talk.NewPage(s.err), true // standard output is the result's
			}
			return sit(ctx, o, s, newAsker(ctx, o.plain, s, out), out)
		},
	}
	f := c.Flags()
	f.StringVar(&o.answers, "answers", ".", "the folder for the answer logs")
	f.StringVar(&o.server, "server", "", "HOST:PORT of the instructor's machine, where that answers")
	f.BoolVar(&o.plain, "plain", false, "ask with numbered lines, on a terminal as well")
	f.BoolVar(&o.json, "json", false, "the result in its machine form; the dialogue goes to standard error")
	outputFlag(f, &o.output, resultUsage)
	return c
}

// satTask is what a candidate has done on one fault, in its machine form.
type satTask struct {
	Task    int    `json:"task"`
	Circuit string `json:"circuit"`
	Log     string `json:"log"`
	Checks  int    `json:"checks"`
	Named   string `json:"named,omitempty"`
	Receipt string `json:"receipt"`
}

// sit leads a candidate through the faults of a packet.
func sit(ctx context.Context, o sitOptions, s streams, ask talk.Asker, out *talk.Page) error {
	p, err := readPacket(o.packet, s)
	if err != nil {
		return err
	}
	switch {
	case p.Form == exam.Served && o.server == "":
		return usagef("the instructor's machine answers this exam: --server HOST:PORT")
	case p.Form != exam.Served && o.server != "":
		return usagef("this exam is %s: no machine answers it", p.Form)
	}
	models, err := modelsOf(ctx, p.Circuits)
	if err != nil {
		return err
	}
	for i := range p.Tasks {
		if err := s.files.Claim("--answers",
			filepath.Join(o.answers, answersName(p.Exam, p.Candidate.Number, i+1))); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(o.answers, 0o700); err != nil {
		return fmt.Errorf("cannot write the answers: %w", err)
	}
	out.Notice(talk.Caution)
	out.Parf("", "%s. Seat %s: %s to find.", p.Title, p.Candidate.Label(), talk.Count(len(p.Tasks), "fault"))
	switch p.Form {
	case exam.Simulated:
		out.Para("", "SIMULATED PANEL: it hides a fault and answers every check. Nothing is live here. "+
			"Work as safely as at a real one: it counts.")
	case exam.Bench:
		out.Para("", "AT THE BENCH: the trainer is live. Make every check on it as you choose it, "+
			"and enter what you see or read.")
	default:
		out.Para("", "The instructor's machine answers every check. Work as safely as at a real panel: it counts.")
	}
	switch allowed := p.Minutes + p.Candidate.Extra; {
	case p.Minutes == 0:
	case p.Form == exam.Served:
		out.Parf("", "%g min are allowed for each fault, or what the instructor's machine says is left. "+
			"After the end no check is answered.", allowed)
	default:
		out.Parf("", "%g min are allowed for each fault. What comes later is kept and marked as late.", allowed)
	}
	results := []satTask{}
	wait := patient{ctx: ctx, out: out} // a machine that was never there is not waited for
	for i := range p.Tasks {
		if i > 0 {
			out.Blank()
		}
		var done satTask
		done, err = sitTask(o, p, i, models[p.Tasks[i].Circuit], s, ask, wait)
		wait.most = o.patience
		if done.Log != "" {
			results = append(results, done)
			o.answers = filepath.Dir(done.Log) // another folder from where a disk was full
		}
		if err != nil {
			break
		}
	}
	away := errors.Is(err, room.ErrAway) && len(results) > 0
	if err != nil && failed(err) && !away {
		return err
	}
	if err == nil {
		out.Parf("", "That was the last fault. Hand in the answer logs in %s, "+
			"and tell the instructor the receipts:", o.answers)
	} else {
		again := fmt.Sprintf("deadrung exam sit %s --answers %s", o.packet, o.answers)
		if o.server != "" {
			again += " --server " + o.server
		}
		out.Parf("", "Everything answered is in %s. Go on with: %s", o.answers, again)
	}
	for _, r := range results {
		out.Parf("  ", "fault %d: receipt %s, log %s", r.Task, r.Receipt, r.Log)
	}
	if o.json {
		if jsonErr := output(o.output, s,
			func(w io.Writer) error { return printJSON(w, results) }); jsonErr != nil {
			return jsonErr
		}
	}
	if away {
		return notArrived(err)
	}
	if errors.Is(err, talk.ErrInterrupted) {
		return fmt.Errorf("interrupted; everything answered is safe in %s", o.answers)
	}
	return nil
}

// sitTask sits one fault to its end; one that was ended before is passed over.
func sitTask(o sitOptions, p *exam.Packet, i int, m *diagnose.Model, s streams, ask talk.Asker,
	wait patient) (satTask, error) {
	out := wait.out
	name := filepath.Join(o.answers, answersName(p.Exam, p.Candidate.Number, i+1))
	done := satTask{Task: i + 1, Circuit: m.Panel().Circuit.Title, Log: name}
	panel, err := panelOf(p, i, m, o.server, &name, wait)
	if err != nil && p.Form == exam.Simulated { // its readings are in the packet
		return satTask{}, inputError{circuits.Problems{{File: o.packet, Pos: circuits.Pos{Line: 1, Column: 1}, What: err.Error(),
			Hint: "a whole copy of the packet, from the instructor"}}}
	}
	if err != nil {
		return satTask{}, err
	}
	far, served := panel.(*room.Remote)
	if served {
		defer far.Close()
	}
	f, log, err := openAnswers(name, m, p.Chain, exam.SittingID(p.Exam, p.Candidate.Number, i+1), o.now, s)
	if err != nil {
		return satTask{}, err
	}
	defer f.Close()
	sitting := training.NewSittingAt(m, panel)
	if err := sitting.Resume(log); err != nil {
		return satTask{}, fmt.Errorf("the answer log %s was changed, %w; "+
			"hand it in as it is, and tell the instructor", name, err)
	}
	resumed, ended := len(log.Entries) > 0 || len(log.Acts) > 0, namedIn(log)
	if ended == "" {
		if err := f.append(f.beginning); err != nil {
			return satTask{}, err
		}
		if e, seen := p.Tasks[i].Told(m); seen && !resumed {
			if err := f.complain(sitting, e); err != nil {
				return satTask{}, err
			}
		}
	}
	w := newCandidate(sitting, panel, p.Minutes+p.Candidate.Extra, ask, out, o.now)
	if served {
		w.left = far.Left
	}
	if err := w.Begin(); err != nil {
		return satTask{}, err
	}
	w.keeps(&f.logFile, func(write func(io.Writer) error) error {
		if err := f.append(write); err != nil {
			return err
		}
		name = f.Name()
		if served {
			w.sent(far.Send())
		}
		return nil
	})
	w.elsewhereIn = func(folder string) (string, error) {
		return moveAnswers(p, i, filepath.Dir(name), folder)
	}
	w.begun, w.spent = o.now(), f.spent
	if ended != "" {
		out.Parf("", "Fault %d, %s: you have named a fault already.", i+1, done.Circuit)
	} else {
		out.Parf("", "FAULT %d of %d: %s.", i+1, len(p.Tasks), done.Circuit)
		if served { // who comes and does nothing was there
			w.sent(far.Send())
		}
		err = w.work(resumed)
	}
	switch {
	case served && err == nil: // nothing goes on before it has arrived
		wait.most = o.patience
		err = wait.try(far.Send)
	case served:
		w.sent(far.Send())
	}
	log = w.Log()
	done.Log, done.Named, done.Receipt = f.Name(), string(namedIn(log)), f.chain.Receipt()
	for _, e := range log.Entries {
		if e.Answer != nil && e.Note != training.ComplaintNote {
			done.Checks++
		}
	}
	return done, err
}

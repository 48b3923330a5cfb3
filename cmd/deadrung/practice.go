package main

import (
	"context"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/cmd/deadrung/talk"
	"deadrung/diagnose"
	"deadrung/diagnose/guide"
	"deadrung/diagnose/training"
	"deadrung/faultmodel"
)

type practiceOptions struct {
	circuit string
	by      string
	given

	seed       uint64
	seeded     bool // --seed is given
	difficulty string
	kind       string
	fresh      bool
	published  string
	list       bool

	drill string
	wiringOptions

	lesson  string // its name, "next", or "list"
	lessons string // a file of lessons; empty for the program's own
	course  *lessonAt
	class   []string // files of scores

	coach string
	log   string
	watch string // the folder of the logs of a class

	dropChanged bool

	scores  string
	history bool
	picture string
	sheet   string
	plain   bool
	json    bool
	output  string

	now    func() time.Time
	random func() uint64 // a seed, where none is given
}

// How the coach speaks.
const (
	coachAlways = "always"
	coachAsked  = "asked"
	coachAfter  = "after"
)

// coaching is when the coach speaks.
func (o *practiceOptions) coaching() guide.Coach {
	return map[string]guide.Coach{coachAlways: guide.CoachAlways, coachAsked: guide.CoachAsked,
		coachAfter: guide.CoachAfter}[o.coach]
}

func newPractice(s streams) *cobra.Command {
	o := practiceOptions{now: time.Now, random: func() uint64 { return rand.Uint64N(1e6) }}
	c := &cobra.Command{
		Use:   "practice [CIRCUIT]",
		Short: "Find a hidden fault on a simulated panel, with a coach",
		Long: `Practice hides a fault in a simulated panel. You work the circuit, choose every
check, lock out and bring the power back, name the fault, repair it and prove the
operation. Unsafe acts are named at once. The coach says what each check was worth:
always after it, when asked, or only after the end (--coach). Ask, and a better check is
named, at the price of a hint. At the end everything is played back beside what the best
checks would have been.

The fault is chosen by its odds, or narrowed:
  --difficulty easy, middle or hard: a third of the circuit's faults each; or a number
    or a range, as 4-6, of N × (1 + M). N is how many checks the guided search is
    expected to need; M, 0 to 1, how much the first looks point to likelier faults.
  --kind ` + strings.Join(faultmodel.Kinds[:6], ", ") + `,
    ` + strings.Join(faultmodel.Kinds[6:14], ", ") + `,
    ` + strings.Join(faultmodel.Kinds[14:20], ", ") + `,
    ` + strings.Join(faultmodel.Kinds[20:], ", ") + `
  --fresh: only a fault that, by the scores, you have not had before.
  --published NAME: a case that an outside source prints; --list names them.

--lesson next goes on with a course: lessons from first ideas on, each a few faults in a
fixed order. --lesson list shows them and how far you are, and with --class the scores of a
class; --lessons names the course of an instructor.

--wiring is the first half of the work: from the ladder without numbers you number the
conductors and plan the wires. A plan is held against the drawing electrically, and what
it would do when it is energised is told. --plan judges one in a file; --sheet writes the
form to fill in by hand, or the judged plan.

--watch FOLDER -o BOARD.html is for the instructor: a page that renews itself, with what each
of a class is at, what is still possible for them, who is idle, stuck or unsafe. Anyone who
agrees keeps their log in that folder (--log FOLDER/NAME.jsonl); nobody else is watched. The
board is never put on the network; replays are written into a folder beside it.

--drill N is a short one without a circuit: a string of N contacts, one of them open.
--drill line is the published case of a dead lamp on a two-wire line.

` + talk.Caution.Plain(),
		Args: oneCircuitAtMost,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				o.circuit = args[0]
			}
			o.seeded = cmd.Flags().Changed("seed")
			ctx, stop := talk.Interruptible(cmd.Context())
			defer stop()
			return runPractice(ctx, o, s)
		},
	}
	f := c.Flags()
	f.Uint64Var(&o.seed, "seed", 0,
		"the same seed hides the same fault and gives the same readings; without it, one at random that is printed")
	f.StringVar(&o.difficulty, "difficulty", "", "easy, middle or hard, or a number or range of N × (1 + M)")
	f.StringVar(&o.kind, "kind", "", "a kind of fault, as open-wire")
	f.BoolVar(&o.fresh, "fresh", false, "a fault that the scores do not have yet")
	f.StringVar(&o.published, "published", "",
		"a published case, as f07: its printed answer; f07:2 is its second fault, f07:any one by the seed")
	f.BoolVar(&o.list, "list", false, "list the published cases")
	f.StringVar(&o.drill, "drill", "", "a drill: the number of contacts of a string, or line")
	f.StringVar(&o.lesson, "lesson", "", "a lesson of the course, next for the first that is not done, or list")
	f.StringVar(&o.lessons, "lessons", "", "the course of an instructor, in place of the program's own")
	f.StringArrayVar(&o.class, "class", nil, "with --lesson list: the scores of somebody in a class; may be given more than once")
	f.StringVar(&o.watch, "watch", "",
		"keep the board of a class up to date from the logs in this folder; -o names the board")
	f.BoolVar(&o.wiring, "wiring", false, "plan the wires of a ladder that has no numbers, in place of finding a fault")
	f.StringVar(&o.plan, "plan", "", "with --wiring: judge the plan in this CSV (wire, from, to); - for standard input")
	f.StringVar(&o.save, "save", "", "with --wiring: keep the plan in this CSV, and go on with it if it is there")
	f.StringVar(&o.coach, "coach", coachAsked, "when the coach speaks: always, asked or after")
	f.StringVar(&o.log, "log", "", "keep everything in this file, and go on with it if it is there")
	dropChangedFlag(f, &o.dropChanged)
	f.StringVar(&o.scores, "scores", "",
		"the file of scores; none keeps none (default: practice.jsonl in your data directory)")
	f.BoolVar(&o.history, "history", false, "show the scores so far")
	f.StringVar(&o.picture, "picture", "",
		"draw the doubt falling, or with --history the scores, as SVG in this file")
	f.StringVar(&o.sheet, "sheet", "", "write the replay as a page to print, in HTML, to this file")
	f.BoolVar(&o.plain, "plain", false, "ask with numbered lines, on a terminal as well")
	f.StringVar(&o.by, "by", "minutes", "what the best check keeps small: minutes or checks")
	f.BoolVar(&o.json, "json", false, "the result in its machine form; the dialogue goes to standard error")
	outputFlag(f, &o.output, resultUsage)
	written(f, "save", "log", "scores", "picture", "sheet")
	o.faultFlags(f)
	o.meterFlags(f)
	return c
}

// check tells what is wrong with the options together.
func (o *practiceOptions) check() error {
	what := 0
	for _, on := range []bool{o.circuit != "", o.published != "", o.drill != "", o.list, o.history, o.lesson != ""} {
		if on {
			what++
		}
	}
	switch o.coach {
	case coachAlways, coachAsked, coachAfter:
	default:
		return usagef("--coach is always, asked or after, not %q", o.coach)
	}
	switch {
	case what > 1:
		return usagef("one thing at a time: a circuit, --published, --drill, --lesson, --list or --history")
	case o.lesson != "" && (o.kind != "" || o.difficulty != "" || o.fresh):
		return usagef("--lesson names the fault; --kind, --difficulty and --fresh choose another")
	case (o.lessons != "" || len(o.class) > 0) && o.lesson == "":
		return usagef("--lessons and --class go with --lesson")
	case len(o.class) > 0 && o.lesson != listLessons:
		return usagef("--class goes with --lesson list")
	case o.published != "" && (o.kind != "" || o.difficulty != "" || o.fresh):
		return usagef("--published names the fault; --kind, --difficulty and --fresh choose another")
	case o.drill != "" && (o.kind != "" || o.difficulty != "" || o.fresh || o.log != ""):
		return usagef("a drill has no --kind, --difficulty, --fresh and --log")
	case o.fresh && o.scores == "none":
		return usagef("--fresh needs the scores to know what you had")
	case o.kind != "" && !slices.Contains(faultmodel.Kinds, o.kind):
		return usagef("%q is not a --kind of fault%s", o.kind, circuits.Suggest(o.kind, faultmodel.Kinds))
	case slices.Contains(faultmodel.WearKinds, o.kind) && !o.given.worn:
		return usagef("--kind %s is one of wear: it goes with --worn", o.kind)
	case (o.kind == "miswired" || o.kind == "exchanged") && !o.given.wiringErrors:
		return usagef("--kind %s is for a new build: it goes with --wiring-errors", o.kind)
	case o.output != "" && !o.json && !o.list && !o.history && o.lesson != listLessons && o.watch == "":
		return usagef("-o is for the result of --json")
	case o.dropChanged && o.log == "":
		return usagef("--drop-changed is for a log: name it with --log")
	case o.sheet != "" && (o.drill != "" || o.list || o.history):
		return usagef("--sheet is for the replay of a circuit")
	}
	if err := o.checkWiring(); err != nil {
		return err
	}
	if err := o.checkWatch(); err != nil {
		return err
	}
	_, err := o.wish()
	return err
}

// wish reads --difficulty and --kind.
func (o *practiceOptions) wish() (training.Wish, error) {
	w := training.Wish{Kind: o.kind}
	for _, l := range training.Levels {
		if o.difficulty == string(l) {
			w.Level = l
			return w, nil
		}
	}
	if o.difficulty == "" {
		return w, nil
	}
	wrong := usagef("--difficulty is easy, middle or hard, or a number or range as 4-6, not %q", o.difficulty)
	low, high, isRange := strings.Cut(o.difficulty, "-")
	if !isRange {
		high = low
	}
	var err error
	if w.Least, err = strconv.ParseFloat(low, 64); err != nil || w.Least <= 0 {
		return w, wrong
	}
	if w.Most, err = strconv.ParseFloat(high, 64); err != nil || w.Most < w.Least {
		return w, wrong
	}
	if !isRange {
		w.Least, w.Most = w.Least*(1-nearDifficulty), w.Most*(1+nearDifficulty)
	}
	return w, nil
}

// nearDifficulty is how far from a single number a difficulty may be.
const nearDifficulty = 0.1

func runPractice(ctx context.Context, o practiceOptions, s streams) error {
	by, err := parseBy(o.by)
	if err != nil {
		return err
	}
	if err := o.check(); err != nil {
		return err
	}
	switch {
	case o.list:
		return listPublished(o, s)
	case o.history:
		return showHistory(o, s)
	case o.lesson == listLessons:
		return showLessons(o, s)
	case o.watch != "":
		return watchPractice(ctx, o, s)
	}
	out := talk.NewPage(s.out)
	if o.json && o.output == "" {
		out, o.plain = talk.NewPage(s.err), true // standard output is the result's
	}
	ask := newAsker(ctx, o.plain, s, out)
	book, err := openScores(o, s)
	if err != nil {
		return err
	}
	for _, path := range []string{o.picture, o.sheet, o.output, o.save} {
		if err := canWrite(path); err != nil {
			return err
		}
	}
	if !o.seeded {
		o.seed = o.random()
	}
	if o.lesson != "" {
		if err := o.takeLesson(book, s); err != nil {
			return err
		}
	}
	switch {
	case o.drill != "":
		return runDrill(o, s, out, ask, book)
	case o.wiring:
		return runWiring(o, s, out, ask, book)
	}
	out.Notice(talk.Caution)
	if o.course != nil {
		o.course.tell(out)
	}
	m, hidden, origin, err := o.panel(ctx, ask, out, s)
	if err != nil {
		return closing(err, "", nil)
	}
	t, err := openPractice(o, m, hidden, origin, by, book, s, ask, out)
	if err != nil {
		return err
	}
	return t.close(o, s, book, t.run())
}

// origin is where a published case comes from.
type origin struct {
	source, answer string
	spelled        []string // the sources by their full names
}

// panel makes the model of the circuit that is practised on. Hidden is the fault that is
// named by a published case; diagnose.Good where it is to be chosen.
func (o *practiceOptions) panel(ctx context.Context, ask talk.Asker, out *talk.Page,
	s streams) (*diagnose.Model, int, *origin, error) {
	if o.published != "" {
		return loadPublished(ctx, *o, s)
	}
	if o.circuit == "" {
		var err error
		if o.circuit, err = chooseCircuit(ask, out); err != nil {
			return nil, 0, nil, err
		}
	}
	m, err := loadModel(ctx, o.circuit, o.given, s)
	if err != nil || o.course == nil {
		return m, diagnose.Good, nil, err
	}
	hidden, err := o.course.hidden(m)
	return m, hidden, nil, err
}

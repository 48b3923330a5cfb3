package talk

import (
	"fmt"
	"strings"
)

// NoticeKind tells notices apart: no one has to look into their words for that.
type NoticeKind int

const (
	NoNotice   NoticeKind = iota
	Warning               // what may be met, and who may test
	PowerOff              // switch off, lock out, prove dead
	PowerBack             // the power goes on again
	LiveWork              // a meter comes on live parts
	Movement              // something may start
	ProveMeter            // a verdict rests on readings of nothing
	Humming               // a motor hums and does not turn
	LifeSafety            // people are warned by the circuit
)

// Notice is a caution: a paragraph, or what is to be done point by point.
type Notice struct {
	Kind   NoticeKind
	When   string // when it is followed: "before this check"; at once if empty
	Text   string // of one that has no points
	Points []string
	Source string
}

// Caution opens every guided session, the help and every printed sheet.
var Caution = Notice{
	Kind: Warning,
	Text: "CAUTION: a control circuit has live parts at 120 V and more. " +
		"Only qualified persons may test live circuits. " +
		"Local codes, the rules of the site and the licensed person in charge come before anything this " +
		"program says.",
	Source: "OSHA 29 CFR 1910.333(c)(2): only qualified persons work on energised parts",
}

// When a notice is followed.
const (
	BeforeCheck  = "before this check"
	BeforeOhms   = "before any ohms check"
	BeforeRepair = "before the repair"
	ToProve      = "to prove the repair"
)

// LockOut comes before the first ohms check, and whenever power was on since.
func LockOut(when string) Notice {
	return Notice{
		Kind: PowerOff, When: when,
		Points: []string{
			"Switch off, lock and tag every source of the circuit. Push buttons and interlocks are no isolation.",
			"Try the start button: nothing may move.",
			"Test the meter on a known live source.",
			"Test the circuit dead, phase to phase and each to ground.",
			"Test the meter again on the live source.",
		},
		Source: "NFPA 70E article 120.5; OSHA 29 CFR 1910.147 and 1910.333(b)",
	}
}

// BackToPower comes when the power goes back on, before a start from rest that is told
// below it.
func BackToPower(when string) Notice {
	return powerBack(when, "Switch on only where the start from rest, below, comes to it.")
}

// BackToPowerOnPaper is BackToPower on a sheet that tells the start from rest elsewhere.
func BackToPowerOnPaper(when string) Notice {
	return powerBack(when, "Switch on only where the start from rest comes to it.")
}

// BackToPowerAtOnce comes where the power goes on with the last point.
func BackToPowerAtOnce() Notice { return powerBack("", "Switch on.") }

func powerBack(when, switchOn string) Notice {
	return Notice{
		Kind: PowerBack, When: when,
		Points: []string{
			"Take the leads off, land every lifted wire, put the covers back.",
			"See that all people are clear, and tell them.",
			"Take off locks and tags, each by the person who put it there. " + switchOn,
		},
		Source: "OSHA 29 CFR 1910.147(e)",
	}
}

// Title heads the points of a notice.
func (n Notice) Title() string {
	title := map[NoticeKind]string{
		PowerOff: "LOCK OUT", PowerBack: "BACK TO POWER", LiveWork: "LIVE", Movement: "IT MAY START", ProveMeter: "PROVE THE METER", Humming: "IT HUMS",
		LifeSafety: "A FIRE ALARM",
	}[n.Kind]
	if n.When != "" {
		title += " " + n.When
	}
	return title + ":"
}

// plainColumns is the width of a notice where no page gives one: in the help, in Markdown.
const plainColumns = 85

// Plain writes a notice in lines.
func (n Notice) Plain() string {
	var b strings.Builder
	Sized(NewPage(&b), plainColumns).write(n)
	return b.String()
}

// Line writes a notice on one line.
func (n Notice) Line() string { return strings.Join(strings.Fields(n.Plain()), " ") }

// Markdown writes a notice as a quotation.
func (n Notice) Markdown() string {
	return "> " + strings.ReplaceAll(strings.TrimSpace(n.Plain()), "\n", "\n> ")
}

// Notice writes a notice and an empty line below it.
func (p *Page) Notice(n Notice) {
	p.write(n)
	p.Blank()
}

// Below writes a notice with nothing below it.
func (p *Page) Below(n Notice) { p.write(n) }

// Height is how many lines a notice takes on the page, the empty one below it among them.
func (p *Page) Height(n Notice) int {
	var b strings.Builder
	Sized(NewPage(&b), p.Columns()).Notice(n)
	return strings.Count(b.String(), "\n")
}

func (p *Page) write(n Notice) {
	if p.Take != nil {
		piece := Piece{Form: Cautioned, Text: n.Text, Points: n.Points}
		if n.Text == "" {
			piece.Label = n.Title()
		}
		p.Take(piece)
		return
	}
	if n.Text != "" {
		p.Para("", n.Text)
		return
	}
	p.Para("", n.Title())
	for i, point := range n.Points {
		p.Hang(fmt.Sprintf("  %d. ", i+1), point)
	}
}

// Package exam sets and marks exams in fault finding: a fair choice of hidden faults, the
// sealed key, a packet for each candidate, the chain of an answer log, and the marks.
//
//	circuits ──► Pool ──► Choose ──► Set (Exam, Key) ──► Packet ──► a candidate's log ──► Mark
//
// What a candidate does at the panel, and what each check was worth, is package training's.
//
// # Decisions
//
//   - A candidate is told what somebody at the panel would say is wrong, as at work. Effort is
//     what the guided search needs from there on, in minutes or checks.
//   - Faults are drawn from the seed and the passphrase, so that a seed alone repeats nothing;
//     keys and identity are drawn from the whole setting.
//   - Sealing is the one place below cmd with randomness that nobody hands in: the age library's.
//   - A packet's table of readings is as long for one fault as for another (readings.go). Wires
//     are lifted off one terminal at a time there, and there is no low-impedance mode.
//   - No fault is put into a trainer that has a motor, solenoid or contactor on at the end of a
//     step where a good circuit has all of them off; where one is on beside another that should
//     be, the card warns. What happens between two steps is not looked at (bench.go).
//   - Unsafe acts are named at once in an exam too, at a cost to its strictness.
//   - The log of an exam has "sitting" on the first line of each session and "chain" on every
//     line. What the chain proves, and what it cannot, is told in docs/exam-security.md.
package exam

import (
	"crypto/ed25519"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"deadrung/diagnose"
	"deadrung/faultmodel"
)

// Form is how an exam is sat.
type Form string

const (
	Simulated Form = "simulated" // the packet answers
	Bench     Form = "bench"     // a real trainer answers
	Served    Form = "served"    // the instructor's machine answers
	Wiring    Form = "wiring"    // no faults: wires are planned from the ladder
)

// Forms are all of them.
var Forms = []Form{Simulated, Bench, Served, Wiring}

// ParseForm reads the word for a form.
func ParseForm(word string) (Form, error) {
	if f := Form(word); slices.Contains(Forms, f) {
		return f, nil
	}
	return "", fmt.Errorf("an exam is simulated, bench or served, not %q", word)
}

// CircuitFile is a circuit as it goes along with an exam.
type CircuitFile struct {
	File string `json:"file"`
	Text string `json:"text"`
}

// Exam is what everybody may know of an exam.
type Exam struct {
	Version  int           `json:"deadrung-exam"`
	ID       string        `json:"exam"`
	Title    string        `json:"title"`
	Form     Form          `json:"form"`
	Faults   int           `json:"faults"`            // for each candidate
	Minutes  float64       `json:"minutes,omitempty"` // allowed for each fault; 0: as long as it takes
	By       string        `json:"by"`                // what the efforts are made equal in
	Circuits []CircuitFile `json:"circuits"`
	Class    []Candidate   `json:"class"`
	Server   []byte        `json:"server,omitempty"` // public key of the machine that answers
}

// Version of the files of an exam.
const Version = 1

// Key is what only the instructor may know.
type Key struct {
	Version int            `json:"deadrung-key"`
	Exam    string         `json:"exam"`
	Title   string         `json:"title"`
	Form    Form           `json:"form"`
	Faults  int            `json:"faults"`
	Minutes float64        `json:"minutes"`
	By      string         `json:"by"`
	Seed    string         `json:"seed"`
	Made    string         `json:"made"`   // RFC 3339
	Sum     []byte         `json:"sum"`    // of the circuit files, SHA-256
	Server  []byte         `json:"server"` // seed of the Ed25519 key of the machine that answers; of a served exam
	Keys    []CandidateKey `json:"candidates"`
	Pad     string         `json:"pad"` // makes keys of all faults equally long
}

// CandidateKey is what the instructor knows of one candidate.
type CandidateKey struct {
	Candidate
	Chain []byte    `json:"chain"` // the key of the answer logs' chain, and of what the packet shows
	Tasks []TaskKey `json:"tasks"`
}

// TaskKey is one fault of one candidate.
type TaskKey struct {
	Circuit int           `json:"circuit"` // index of the exam's circuits
	Fault   faultmodel.ID `json:"fault"`
	Table   []byte        `json:"table"` // the key of the packet's table of readings
}

// Setting is what an exam is set with.
type Setting struct {
	Title    string
	Form     Form
	Faults   int
	Minutes  float64
	By       diagnose.By
	Row      int // seats in a row; zero is one long row
	Prepared bool
	Class    []Candidate
	Circuits []CircuitFile
	Models   []*diagnose.Model // of the circuits, in their order
	Seed     string
	Random   [32]byte // see Stretch
	Made     string   // RFC 3339
}

// Passed is a kind of fault that was not set, and why.
type Passed struct {
	Circuit string `json:"circuit"`
	Why     string `json:"why"`
	Faults  int    `json:"faults"`
}

// Set is an exam that was set.
type Set struct {
	Exam   Exam
	Key    Key
	Choice Choice
	Pool   []Task
	Passed []Passed // what was left out of the pool
}

// Make sets an exam: it chooses the faults for everybody. The same setting gives the same
// exam.
func Make(s Setting) (*Set, error) {
	if len(s.Models) == 0 {
		return nil, errors.New("an exam needs a circuit")
	}
	if len(s.Class) == 0 {
		return nil, errors.New("an exam needs candidates")
	}
	pool, passed, err := Pool(s.Models, s.Form, s.By, s.Prepared)
	if err != nil {
		return nil, err
	}
	choice, err := Choose(pool, Fairness{Candidates: len(s.Class), Faults: s.Faults,
		Circuits: len(s.Models), By: s.By, Row: s.Row}, rand.New(rand.NewChaCha8(s.Random)))
	if err != nil {
		return nil, err
	}
	source := rand.NewChaCha8(s.own())
	bytes := func(n int) []byte {
		b := make([]byte, n)
		source.Read(b)
		return b
	}
	by := "minutes"
	if s.By == diagnose.ByChecks {
		by = "checks"
	}
	id := fmt.Sprintf("%x", bytes(4))
	set := &Set{Choice: choice, Pool: pool, Passed: passed}
	set.Exam = Exam{Version: Version, ID: id, Title: s.Title, Form: s.Form, Faults: s.Faults,
		Minutes: s.Minutes, By: by, Circuits: s.Circuits, Class: s.Class}
	set.Key = Key{Version: Version, Exam: id, Title: s.Title, Form: s.Form, Faults: s.Faults,
		Minutes: s.Minutes, By: by, Seed: s.Seed, Made: s.Made, Sum: SumOf(s.Circuits)}
	for i, c := range s.Class {
		k := CandidateKey{Candidate: c, Chain: bytes(32)}
		for _, t := range choice.Tasks[i] {
			task := pool[t]
			k.Tasks = append(k.Tasks, TaskKey{task.Circuit,
				s.Models[task.Circuit].Faults()[task.Fault].ID, bytes(32)})
		}
		set.Key.Keys = append(set.Key.Keys, k)
	}
	if s.Form == Served {
		set.Key.Server = bytes(ed25519.SeedSize)
		set.Exam.Server = ed25519.NewKeyFromSeed(set.Key.Server).Public().(ed25519.PublicKey)
	}
	set.Key.pad(s.Models)
	return set, nil
}

// own is what the identity and the keys of an exam are drawn from. It is of this setting
// alone: an exam that shares the seed and the passphrase with another shares no key with it,
// and the logs of one are not taken for those of the other.
func (s Setting) own() [32]byte {
	h := hmac.New(sha256.New, s.Random[:])
	fmt.Fprintf(h, "keys %q %q %d %g %v %d %t %x\n", s.Form, s.Title, s.Faults, s.Minutes, s.By, s.Row,
		s.Prepared, SumOf(s.Circuits))
	for _, c := range s.Class {
		fmt.Fprintf(h, "%d %q %q\n", c.Number, c.Name, c.ID)
	}
	return [32]byte(h.Sum(nil))
}

// Pool gives the faults that may be set: those that a check shows, that the guided loop
// finds, and on a bench those that can be put in and taken out. What was left out is
// counted by its reason.
func Pool(models []*diagnose.Model, form Form, by diagnose.By, prepared bool) ([]Task, []Passed, error) {
	var pool []Task
	passed := []Passed{}
	for c, m := range models {
		title := m.Panel().Circuit.Title
		pass := func(why string) {
			i := slices.IndexFunc(passed, func(p Passed) bool { return p.Circuit == title && p.Why == why })
			if i < 0 {
				i = len(passed)
				passed = append(passed, Passed{Circuit: title, Why: why})
			}
			passed[i].Faults++
		}
		if form == Simulated {
			if n := TableLength(m); n > MostReadings {
				return nil, nil, fmt.Errorf("%s is too large for a packet: its readings take %d MB; set it as served or bench", title, n>>20)
			}
		}
		expected, err := NeededAfterComplaint(m, by)
		if err != nil {
			return nil, nil, err
		}
		for i := range m.Faults() {
			if m.Hidden(i) {
				pass("no check shows it")
				continue
			}
			if expected[i].Checks < 1 {
				pass("the complaint alone tells it")
				continue
			}
			if form == Bench {
				if _, err := OnBench(m, i, prepared); err != nil {
					pass(err.Error())
					continue
				}
			}
			pool = append(pool, Task{Circuit: c, Fault: i, Group: m.Group(i),
				Checks: expected[i].Checks, Minutes: expected[i].Minutes})
		}
	}
	return pool, passed, nil
}

// pad makes the key as long as it would be with the longest faults of the circuits.
func (k *Key) pad(models []*diagnose.Model) {
	k.Pad = ""
	longest := make([]int, len(models))
	for i, m := range models {
		for _, f := range m.Faults() {
			longest[i] = max(longest[i], written(f.ID))
		}
	}
	missing := 0
	for _, c := range k.Keys {
		for _, t := range c.Tasks {
			missing += longest[t.Circuit] - written(t.Fault)
		}
	}
	k.Pad = strings.Repeat("-", missing)
}

// written is how long an identity is in a key.
func written(id faultmodel.ID) int {
	b, _ := json.Marshal(id)
	return len(b)
}

// Marshal writes the key as it is sealed.
func (k *Key) Marshal() ([]byte, error) { return json.Marshal(k) }

// ParseKey reads what Marshal wrote.
func ParseKey(plain []byte) (*Key, error) {
	var k Key
	if err := json.Unmarshal(plain, &k); err != nil {
		return nil, fmt.Errorf("the key is damaged: %w", err)
	}
	if k.Version != Version {
		return nil, fmt.Errorf("the key is of version %d, and this program reads version %d", k.Version,
			Version)
	}
	return &k, nil
}

// SumOf is the sum of circuit files by which a key knows that they are those that its exam
// was set with.
func SumOf(files []CircuitFile) []byte {
	h := sha256.New()
	for _, f := range files {
		fmt.Fprintf(h, "%d %d %s%s", len(f.File), len(f.Text), f.File, f.Text)
	}
	return h.Sum(nil)
}

// Of gives what the key has of a candidate; nil for none.
func (k *Key) Of(number int) *CandidateKey {
	for i := range k.Keys {
		if k.Keys[i].Number == number {
			return &k.Keys[i]
		}
	}
	return nil
}

// SittingID names the sitting of one candidate at one fault, from one, in logs.
func SittingID(exam string, candidate, task int) string {
	return fmt.Sprintf("%s/%d/%d", exam, candidate, task)
}

// Packet is what a candidate is given: nothing in it names a fault but what is sealed.
type Packet struct {
	Version   int           `json:"deadrung-packet"`
	Exam      string        `json:"exam"`
	Title     string        `json:"title"`
	Form      Form          `json:"form"`
	Minutes   float64       `json:"minutes,omitempty"`
	Candidate Candidate     `json:"candidate"`
	Circuits  []CircuitFile `json:"circuits"`
	Tasks     []PacketTask  `json:"tasks"`
	Chain     []byte        `json:"chain"`
	Server    []byte        `json:"server,omitempty"` // public key of the machine that answers
	// Sealed is the instructor's key, which marks a simulated exam where all else is lost. A
	// packet that holds no readings does not hold it either: there is no passphrase to try.
	Sealed string `json:"sealed,omitempty"`
}

// PacketTask is one fault that is to be found.
type PacketTask struct {
	Circuit   int    `json:"circuit"`             // index of the packet's circuits
	Complaint []byte `json:"complaint,omitempty"` // see Told
	Key       []byte `json:"key,omitempty"`
	Table     []byte `json:"table,omitempty"` // see Readings
}

// PacketOf makes the packet of a candidate. Sealed is the key as it was sealed; models are
// those of the exam's circuits.
func PacketOf(e *Exam, k *CandidateKey, sealed string, models []*diagnose.Model) (*Packet, error) {
	p := &Packet{Version: Version, Exam: e.ID, Title: e.Title, Form: e.Form, Minutes: e.Minutes,
		Candidate: k.Candidate,
		Circuits:  e.Circuits, Chain: k.Chain, Server: e.Server}
	if e.Form == Simulated {
		p.Sealed = sealed
	}
	for _, t := range k.Tasks {
		m := models[t.Circuit]
		fault, err := faultmodel.Find(m.Faults(), string(t.Fault))
		if err != nil {
			return nil, err
		}
		task := PacketTask{Circuit: t.Circuit}
		if task.Complaint, err = packComplaint(m, fault); err != nil {
			return nil, err
		}
		if e.Form == Simulated {
			r, err := MakeReadings(m, fault, t.Table)
			if err != nil {
				return nil, err
			}
			task.Key, task.Table = t.Table, r.Table()
		}
		p.Tasks = append(p.Tasks, task)
	}
	return p, nil
}

// ParsePacket reads a packet. The error says what is wrong with it.
func ParsePacket(text []byte) (*Packet, error) {
	var p Packet
	if err := json.Unmarshal(text, &p); err != nil {
		return nil, fmt.Errorf("this is not a packet of an exam, or it is damaged: %w", err)
	}
	switch {
	case p.Version == 0:
		return nil, errors.New("this is not a packet of an exam")
	case p.Version != Version:
		return nil, fmt.Errorf("the packet is of version %d, and this program reads version %d",
			p.Version, Version)
	case len(p.Tasks) == 0 || len(p.Circuits) == 0:
		return nil, errors.New("the packet is damaged: it has no fault to find")
	}
	for _, t := range p.Tasks {
		if t.Circuit < 0 || t.Circuit >= len(p.Circuits) {
			return nil, errors.New("the packet is damaged: a circuit is missing")
		}
	}
	if _, err := ParseForm(string(p.Form)); err != nil {
		return nil, fmt.Errorf("the packet is damaged: %w", err)
	}
	return &p, nil
}

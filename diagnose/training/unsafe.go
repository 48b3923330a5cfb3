package training

// UnsafeKind is one way of endangering oneself or others at the panel.
type UnsafeKind string

const (
	OhmsLive      UnsafeKind = "ohms-live"
	RepairLive    UnsafeKind = "repair-live"
	NoLockout     UnsafeKind = "no-lockout"
	NotTried      UnsafeKind = "not-tried"
	MeterBefore   UnsafeKind = "meter-before"
	NotProvedDead UnsafeKind = "not-proved-dead"
	MeterAfter    UnsafeKind = "meter-after"
)

// Dangers say of each unsafe act what it is, what would be right, and by which rule.
var Dangers = []struct {
	Kind   UnsafeKind
	Text   string
	Right  string
	Source string
}{
	{OhmsLive, "ohms on a live circuit",
		"lock out first: the meter drives its own current, and live it can burst in your hand",
		"OSHA 29 CFR 1910.333(b); meter makers' manuals"},
	{RepairLive, "repair on a live circuit", "lock out before a screw is turned",
		"OSHA 29 CFR 1910.333(a)(1)"},
	{NoLockout, "power off but not locked out",
		"lock and tag every source: somebody else can switch on", "OSHA 29 CFR 1910.147, 1910.333(b)(2)"},
	{NotTried, "start button not tried after the lock-out", "try it: nothing may move",
		"NFPA 70E article 120.5; OSHA 29 CFR 1910.333(b)(2)(iv)(A)"},
	{MeterBefore, "meter not tested before the test for voltage",
		"test it on a known live source first: a dead meter shows every circuit dead",
		"NFPA 70E article 120.5; OSHA 29 CFR 1910.333(b)(2)(iv)(B)"},
	{NotProvedDead, "circuit not tested for voltage",
		"test phase to phase and each to ground before the circuit is touched",
		"NFPA 70E article 120.5; OSHA 29 CFR 1910.333(b)(2)(iv)(B)"},
	{MeterAfter, "meter not tested after the test for voltage",
		"test it on the live source again: it may have failed meanwhile",
		"NFPA 70E article 120.5; OSHA 29 CFR 1910.333(b)(2)(iv)(B)"},
}

// Unsafe is an unsafe act: of which kind, and the number of checks made before it.
type Unsafe struct {
	Kind  UnsafeKind `json:"unsafe"`
	After int        `json:"after"`
}

// Text says what an unsafe act is.
func (k UnsafeKind) Text() string {
	for _, d := range Dangers {
		if d.Kind == k {
			return d.Text
		}
	}
	return string(k)
}

// Right says what would be right, and by which rule.
func (k UnsafeKind) Right() (right, source string) {
	for _, d := range Dangers {
		if d.Kind == k {
			return d.Right, d.Source
		}
	}
	return "", ""
}

// lockout is how far the power was locked off properly since it was last on.
type lockout struct {
	locked, tried       bool
	before, dead, after bool // the meter tested, the circuit, the meter again
	named               map[UnsafeKind]bool
}

// testMeter is the meter tested on a known live source.
func (l *lockout) testMeter() {
	if l.dead {
		l.after = true
	} else {
		l.before = true
	}
}

// omissions are what is missing of the lock-out when the circuit is touched, each named
// once in a time without power.
func (s *Sitting) omissions() []Unsafe {
	var found []Unsafe
	for _, o := range []struct {
		done bool
		kind UnsafeKind
	}{
		{s.lockout.locked, NoLockout}, {s.lockout.tried, NotTried}, {s.lockout.before, MeterBefore},
		{s.lockout.dead, NotProvedDead}, {s.lockout.after, MeterAfter},
	} {
		if !o.done {
			found = append(found, s.name(&s.lockout.named, o.kind)...)
		}
	}
	return found
}

// name makes an unsafe act of a kind, unless it was named before; a nil list names it
// every time.
func (s *Sitting) name(named *map[UnsafeKind]bool, kind UnsafeKind) []Unsafe {
	if named != nil {
		if (*named)[kind] {
			return nil
		}
		if *named == nil {
			*named = make(map[UnsafeKind]bool)
		}
		(*named)[kind] = true
	}
	return []Unsafe{{Kind: kind, After: s.taken}}
}

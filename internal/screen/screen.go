package screen

import (
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/sequence"
	"wanderlead/internal/words"
	"wanderlead/safety"
)

// Coaching is how much is said besides what to do and what can hurt. Cautions, what
// is open and refusals are said always.
type Coaching uint8

// The levels of coaching.
const (
	Full  Coaching = iota // why, what to expect, reasons of verdicts
	Hints                 // reasons of verdicts; why on request, nothing to expect
	None                  // verdicts alone
)

// ParseCoaching returns the level with that name.
func ParseCoaching(s string) (Coaching, bool) {
	c, ok := map[string]Coaching{"full": Full, "hints": Hints, "none": None}[s]
	return c, ok
}

// Options is how a screen is laid out and for whom.
type Options struct {
	Width    int // columns; held between MinWidth and MaxWidth
	Height   int // lines of the terminal; a drawing is left out where it would push its question off them. 0: not known
	Plain    bool
	ASCII    bool // the terminal has no other characters
	Study    bool // simulated readings at home: the study wordings
	Coaching Coaching
	Mistakes func() *mistakes.Book // read when something is first wrong; nil: readings are not compared with the usual mistakes
}

// Screen lays out what the session says. The zero value is not usable; see [New].
type Screen struct {
	o    Options
	cat  *words.Catalogue
	safe *Texts
}

// New makes a screen. It fails only when a catalogue is missing.
func New(o Options, cat *words.Catalogue, safe *Texts) (*Screen, error) {
	if cat == nil || safe == nil {
		return nil, errNoTexts
	}
	o.Width = max(MinWidth, min(MaxWidth, o.Width))
	return &Screen{o: o, cat: cat, safe: safe}, nil
}

func (s *Screen) page() *page {
	return &page{w: min(s.o.Width, longLine), plain: s.o.Plain, ascii: s.o.ASCII}
}

// word is a text of the catalogue.
func (s *Screen) word(id string, kv ...string) string {
	m := make(map[string]string, len(kv)/2)
	for i := 0; i+1 < len(kv); i += 2 {
		m[kv[i]] = kv[i+1]
	}
	return s.cat.Text(id, m)
}

// opt is a text of the catalogue that need not be there.
func (s *Screen) opt(id string) string {
	if !s.cat.Has(id) {
		return ""
	}
	return s.word(id)
}

// say is a text by id at a step: of the safety texts, else of the catalogue. Names
// of the rig and of params are filled in; params win.
func (s *Screen) say(id string, p *sequence.Program, step int, params map[string]string) string {
	id = strings.TrimSuffix(id, ".")
	raw, own, ok := s.safe.Text(id, s.o.Study)
	if !ok {
		return capital(s.cat.Text(id, s.named(p, params)))
	}
	if s.o.Study && !own && s.instructs(id) {
		prefix, _, _ := s.safe.Text("study-prefix", false)
		raw = prefix + " " + raw
	}
	params = s.named(p, params)
	x := spotOf(s.word, p, step)
	text, _ := substitute(raw, func(name string) (string, bool) {
		if v, ok := params[name]; ok && v != "" {
			return v, true
		}
		return x.value(name)
	})
	return capital(text)
}

// instructs reports whether a text tells somebody to do something, so that in study
// it must not read as if it spoke of a real board.
func (s *Screen) instructs(id string) bool {
	for _, p := range []string{"because.", "refused.", "perished."} {
		if strings.HasPrefix(id, p) {
			return true
		}
	}
	return false
}

// named puts ids in params into words: places, readings, items, classes.
func (s *Screen) named(p *sequence.Program, params map[string]string) map[string]string {
	out := make(map[string]string, len(params)+3)
	for k, v := range params {
		switch k {
		case "place":
			v = s.placeName(p, v)
		case "part", "what":
			v = s.readingName(p, v)
		case "list":
			ids := strings.Split(v, ", ")
			for i := range ids {
				ids[i] = s.readingName(p, ids[i])
			}
			v = strings.Join(ids, "; ")
		case "item":
			if i, ok := p.Item(v); ok {
				v = s.itemName(p, p.Items[i])
			}
		case "class":
			v = s.opt("class." + v)
		case "emergency":
			v = spotOf(s.word, p, -1).emergency()
		case "pairs":
			v = listed(s.word, strings.FieldsFunc(v, func(r rune) bool { return r == ' ' || r == ',' }))
		case "error":
			v, _, _ = strings.Cut(v, "\n")
			v = strings.TrimRight(v, ".")
		}
		out[k] = v
	}
	return out
}

func (s *Screen) placeName(p *sequence.Program, id string) string {
	if c, ok := p.Rig.Circuit(id); ok {
		return spot{word: s.word}.circuitName(c)
	}
	return p.Rig.Board.Name
}

// readingName is a reading's, a step's or a required test's id in words: "circuit 1,
// ring step 1, end to end, r1".
func (s *Screen) readingName(p *sequence.Program, id string) string {
	for i := range p.Steps {
		st := &p.Steps[i]
		if st.ID == id {
			return s.stepName(p, i)
		}
		if rest, ok := strings.CutPrefix(id, st.ID+"/"); ok {
			for _, part := range st.Parts {
				switch {
				case part.ID != rest:
				case judgedTogether(testOf(p, st)):
					return s.stepName(p, i)
				default:
					return s.stepName(p, i) + ", " + s.partName(st, part)
				}
			}
		}
	}
	owner, test, found := strings.Cut(id, "/")
	if c, ok := p.Rig.Circuit(owner); ok && found {
		return s.word("circuit.short", "number", c.Number) + ", " + s.testName(test)
	}
	return s.testName(id)
}

// Recorded is what was typed for a reading, with its name: for the list of what can be
// corrected, where each reading of a row has its own line.
func (s *Screen) Recorded(p *sequence.Program, r coach.Recording) string {
	name := s.readingName(p, r.ID)
	for i := range p.Steps {
		if st := &p.Steps[i]; judgedTogether(testOf(p, st)) {
			if part, ok := partByID(st, r.ID); ok {
				name += ", " + s.partName(st, part)
			}
		}
	}
	if r.Raw == "" {
		return name
	}
	return name + ": " + r.Raw
}

// judgedTogether reports whether the readings of a test make one verdict, so that it
// is not about the first of them.
func judgedTogether(test string) bool {
	switch test {
	case safety.TestEnds, safety.TestCrossedLN, safety.TestCrossedLE, safety.TestSwitching:
		return true
	}
	return false
}

func (s *Screen) testName(test string) string {
	if t := s.opt("test." + test); t != "" {
		return t
	}
	return strings.ReplaceAll(test, "-", " ")
}

// stepName is what a step is about, with its circuit or RCD.
func (s *Screen) stepName(p *sequence.Program, i int) string {
	st := &p.Steps[i]
	what := s.about(p, st)
	switch {
	case st.RCD >= 0 && st.RCD < len(p.RCDs):
		return "RCD " + p.RCDs[st.RCD].ID + ", " + what
	case st.Circuit >= 0:
		return s.word("circuit.short", "number", p.Rig.Circuits[st.Circuit].Number) + ", " + what
	}
	return what
}

// about is a step's test in words, else its own name.
func (s *Screen) about(p *sequence.Program, st *sequence.Step) string {
	if t := testOf(p, st); t != "" && st.Form != sequence.Inspect {
		return s.testName(t)
	}
	if text := s.doing(p, st); text != "" {
		return text
	}
	return inWords(ownID(p, st))
}

func inWords(id string) string { return strings.NewReplacer("/", " ", "-", " ").Replace(id) }

func ownID(p *sequence.Program, st *sequence.Step) string {
	if st.Circuit >= 0 {
		return strings.TrimPrefix(st.ID, p.Rig.Circuits[st.Circuit].ID+"/")
	}
	return st.ID
}

// doing names what is done at a step that takes no reading, as something to do and never
// as a state: "take off the board cover". It is empty where nothing is known but the id.
func (s *Screen) doing(p *sequence.Program, st *sequence.Step) string {
	item := st.Opens
	if item < 0 {
		item = st.Closes
	}
	switch {
	case st.Form == sequence.Act && item >= 0:
		it := p.Items[item]
		name := it.ID
		if it.Circuit >= 0 {
			name = strings.TrimPrefix(name, p.Rig.Circuits[it.Circuit].ID+"/")
		}
		if text := s.opt("item." + name); text != "" {
			name = text
		} else if name = inWords(name); it.Class == safety.TestLink {
			name += " link"
		}
		return s.word("do."+st.Want.Kind.String(), "item", name)
	case st.Form == sequence.Isolate && st.Want.Board:
		return s.word("do.prove-board", "board", p.Rig.Board.Name)
	case st.Form == sequence.Isolate:
		return s.word("do.isolate")
	case st.Form == sequence.Switch:
		return s.word("do.circuit-on")
	}
	return s.opt("step." + strings.ReplaceAll(ownID(p, st), "/", "."))
}

func testOf(p *sequence.Program, st *sequence.Step) string {
	if st.Test >= 0 {
		return p.Tests[st.Test].Name
	}
	if st.Form == sequence.Read {
		return safety.TestInstrument
	}
	return ""
}

// partName is one reading in words: "s3 bench right", "r1", "1 × at 180°".
func (s *Screen) partName(st *sequence.Step, part sequence.Part) string {
	if t := s.opt("part." + part.ID); t != "" {
		return t
	}
	switch {
	case strings.HasPrefix(part.Label, "way "):
		return s.shortPart(part)
	case part.Label == "" || part.Label == part.ID:
		return part.ID
	case part.Point < 0: // what is bonded, a way of the board
		return part.Label
	}
	return part.ID + " " + part.Label
}

// itemName is an open item in words: "circuit 1: ring ends out of the terminals".
func (s *Screen) itemName(p *sequence.Program, it sequence.Item) string {
	owner, name := s.itemParts(p, it)
	if owner == "" {
		return name
	}
	return owner + ": " + name
}

func (s *Screen) itemParts(p *sequence.Program, it sequence.Item) (owner, name string) {
	name = it.ID
	if it.Circuit >= 0 {
		c := &p.Rig.Circuits[it.Circuit]
		name = strings.TrimPrefix(name, c.ID+"/")
		owner = s.word("circuit.short", "number", c.Number)
	}
	if strings.HasPrefix(it.Class.String(), name) && it.Class != safety.Cover {
		name = "" // a name that only repeats the class
	}
	return owner, s.word("open."+it.Class.String(), "name", strings.ReplaceAll(name, "-", " "))
}

// openItems lists what is open, in words, each circuit's things together.
func (s *Screen) openItems(st *coach.State) string {
	var owners []string
	names := map[string][]string{}
	for _, it := range st.OpenItems() {
		owner, name := s.itemParts(st.Program(), it)
		if !slices.Contains(owners, owner) {
			owners = append(owners, owner)
		}
		names[owner] = append(names[owner], name)
	}
	var out []string
	for _, o := range owners {
		text := strings.Join(names[o], ", ")
		if o != "" {
			text = o + ": " + text
		}
		out = append(out, text)
	}
	return strings.Join(out, "; ")
}

// now is the state of supply and proof in words, and whether anything is live.
func (s *Screen) now(st *coach.State) (text string, live bool) {
	f, p := st.Facts(), st.Program()
	x := spotOf(s.word, p, -1)
	value := func(name string) string { v, _ := x.value(name); return v }
	switch f.Supply {
	case safety.Found:
		return s.word("now.found"), true
	case safety.Incoming:
		return s.word("now.incoming", "main_switch", value("main-switch")), true
	case safety.On:
		if on := s.circuitsOn(st); on != "" {
			return s.word("now.circuits-on", "circuits", on), true
		}
		return s.word("now.on"), true
	}
	id := "now.off"
	switch {
	case f.BoardDead && f.LockOn:
		id = "now.board-dead"
	case f.LockOn:
		id = "now.locked"
	}
	text = s.word(id, "isolator", value("isolator"), "board", value("board"))
	if c, ok := f.CircuitDead.Circuit(); ok {
		text += "; " + s.word("now.points-dead", "circuit", s.word("circuit.short", "number", p.Rig.Circuits[c].Number))
	}
	return text, false
}

func (s *Screen) circuitsOn(st *coach.State) string {
	var out []string
	for _, id := range st.CircuitsOn() {
		if c, ok := st.Program().Rig.Circuit(id); ok {
			out = append(out, c.Number)
		}
	}
	return listed(s.word, out)
}

package sequence

import (
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/safety"
)

func parseAct(v content.Value, n *node) {
	n.form = Act
	m := n.open(v, "an act", "act", "opens", "closes", "at", "right", "wrong")
	word := m.Name("act")
	k, ok := safety.ParseKind(word)
	if !ok || !isAct(k) {
		if word != "" {
			m.Value("act").Errorf("one of: "+strings.Join(actNames(), ", "), "unknown kind of act %q", word)
		}
		k = safety.Look // so that nothing more is said about it
	}
	n.kind = k
	n.opens, n.closes = m.Has("opens"), m.Has("closes")
	if n.opens && n.closes {
		m.KeyOf("closes").Errorf("split it into two acts", "an act either opens or closes an item")
		n.closes = false
	}
	key, want := "opens", func(c safety.Class) safety.Kind { return c.OpensBy() }
	if n.closes {
		key, want = "closes", func(c safety.Class) safety.Kind { return c.ClosesBy() }
	}
	if n.opens || n.closes {
		n.class, n.item = itemRef(m.Value(key))
		if ok && isAct(k) && n.class != safety.NoClass && want(n.class) != k {
			m.Value("act").Errorf("write act: "+want(n.class).String(), "an item of class %s is not %s by %q", n.class, key[:len(key)-1]+"ed", k)
		}
	} else if k.Touches() || k.Exposes() {
		m.Errorf("name the item with opens: or closes:, so that the ledger knows of it", "an act of kind %q changes something at conductors", k)
	}
	n.place(m, k)
	n.bothWordings(m)
	n.options(m)
	n.needID(m)
}

// isAct reports whether a kind is something that is done with hands, outside a test and a gate.
func isAct(k safety.Kind) bool {
	return !k.IsGate() && !k.Live() && k != safety.DeadTest && k != safety.InspectOpen
}

func actNames() []string {
	var names []string
	for _, k := range safety.Kinds() {
		if isAct(k) {
			names = append(names, k.String())
		}
	}
	return names
}

// place reads where hands go. An act that touches is somewhere.
func (n *node) place(m content.Map, k safety.Kind) {
	at := m.OptOneOf("at", "", "board", "points", "both")
	n.board = at == "board" || at == "both"
	n.points = at == "points" || at == "both"
	if (k.Touches() || k.Exposes()) && !m.Has("at") {
		m.Errorf("write at: board, points or both", "an act of kind %q says where hands go", k)
	}
}

func (n *node) needID(m content.Map) {
	if n.id == "" && !m.Has("id") {
		m.Errorf("for instance  id: ends/lift", "this step has no id")
	}
}

// ownID takes a step's id from the key that names its form.
func (n *node) ownID(m content.Map, key, prefix string) {
	n.noID(m)
	n.id = m.Name(key)
	if n.id != "" && !validPath(n.id) {
		m.Value(key).Errorf(pathHint, "%q cannot be a step's id", n.id)
	}
	n.id = prefix + n.id
}

// optionsUnless reads the answers of a step, which has none of its own where the key says that they come from the rig.
func (n *node) optionsUnless(m content.Map, key string) {
	if !m.Has(key) {
		n.options(m)
		return
	}
	for _, k := range []string{"right", "wrong"} {
		if m.Has(k) {
			m.KeyOf(k).Errorf("leave "+k+": out, or "+key+":", "the answers come from the rig here")
		}
	}
}

// noID refuses an id: where it would not be used.
func (n *node) noID(m content.Map) {
	if m.Has("id") {
		m.KeyOf("id").Errorf("leave id: out", "this form of step has its id already")
	}
}

func parseAsk(v content.Value, n *node) {
	n.form, n.kind = Ask, safety.Look
	m := n.open(v, "a question", "ask", "choose", "right", "wrong")
	n.ownID(m, "ask", "")
	n.choose = m.OptOneOf("choose", "", "neutral-bar", "test-voltage")
	n.optionsUnless(m, "choose")
	n.bothWordings(m)
}

func parseRead(v content.Value, n *node) {
	n.form = Read
	m := n.open(v, "a reading", "read", "parts")
	n.readTest(m, "read", readTests)
	n.readParts(m)
	n.bothWordings(m)
}

// readTest reads a test's name. A reading cannot stand in for what is seen, nor a look for what is measured: the lists
// are closed.
func (n *node) readTest(m content.Map, key string, known []string) {
	n.test = m.Name(key)
	if n.test != "" && !slices.Contains(known, n.test) {
		m.Value(key).Errorf(testHint(n.test, key, known), "%q is not a test to %s", n.test, key)
	}
	n.kind, _ = safety.TestKind(n.test)
	n.board, n.points = safety.TestPlaces(n.test)
	if n.id == "" {
		n.id = n.test
	}
}

func testHint(test, key string, known []string) string {
	other, list := "observe", observeTests
	if key == "observe" {
		other, list = "read", readTests
	}
	if slices.Contains(list, test) {
		return "write " + other + ": " + test
	}
	return content.DidYouMean(test, known)
}

// readParts reads which parts of a test are read. A word that selects nothing would quietly select all, so the words
// are closed for each test.
func (n *node) readParts(m content.Map) {
	allowed := partSelectors(n.test)
	if !m.Has("parts") {
		if n.test == safety.TestInstrument {
			m.Errorf("one of: "+strings.Join(allowed, ", "), "a check of the instrument says which parts it reads")
		}
		return
	}
	if len(allowed) == 0 {
		m.KeyOf("parts").Errorf("leave it out", "the test %s has no parts to choose from", n.test)
		return
	}
	n.parts = m.OneOf("parts", allowed...)
}

// partSelectors are the words that parts: takes for a test.
func partSelectors(test string) []string {
	switch test {
	case safety.TestInstrument:
		return []string{"low-ohm-open", "low-ohm-shorted", "insulation-open", "insulation-shorted", "long-lead", "with-long-lead"}
	case safety.TestRCD:
		return []string{"required", "full"}
	case safety.TestInsulation:
		return []string{"all", "joined"}
	case safety.TestCrossedLN, safety.TestCrossedLE, safety.TestContinuity, safety.TestLongLead:
		return []string{"all", "far", "first-plug-in", "used"}
	case safety.TestZs:
		return []string{"all", "far", "first-plug-in"}
	}
	return nil
}

func parseObserve(v content.Value, n *node) {
	n.form = Observe
	m := n.open(v, "an observation", "observe", "right", "wrong")
	n.readTest(m, "observe", observeTests)
	n.options(m)
	n.bothWordings(m)
	if len(n.wrong) == 0 {
		m.Errorf("say what a fault would look like under wrong:", "an observation that cannot go wrong shows nothing")
	}
}

func parseInspect(v content.Value, n *node) {
	n.form, n.test = Inspect, safety.TestInspection
	m := n.open(v, "an inspection item", "inspect", "expects", "outside", "right", "wrong")
	n.ownID(m, "inspect", "inspection/")
	n.kind, n.board = safety.InspectOpen, true
	if m.OptBool("outside", false) {
		n.kind, n.board = safety.Look, false
	}
	n.expects = m.OptOneOf("expects", "", "devices", "rcd-types")
	n.optionsUnless(m, "expects")
	n.bothWordings(m)
}

func parseGate(v content.Value, n *node) {
	n.form = Gate
	m := n.open(v, "a gate", "gate")
	own := n.id
	if m.OneOf("gate", "incoming", "installation") == "installation" {
		n.gate, n.id = safety.EnergiseInstallation, "gate/installation"
	} else {
		n.gate, n.id = safety.EnergiseIncoming, "gate/incoming"
	}
	if own != "" {
		n.id = own
	}
	n.kind = n.gate
}

func parseSwitch(v content.Value, n *node) {
	n.form, n.kind = Switch, safety.CircuitOn
	m := n.open(v, "a switching step", "switch", "right", "wrong")
	m.OneOf("switch", "circuit-on")
	if n.id == "" {
		n.id = "circuit/on"
	}
	n.options(m)
	n.bothWordings(m)
}

func parseIsolate(v content.Value, n *node) {
	n.form, n.kind, n.board = Isolate, safety.InspectOpen, true
	m := n.open(v, "a safety block", "safety")
	m.OneOf("safety", "isolate", "isolate-only")
	if m.OptOneOf("safety", "", "isolate", "isolate-only") == "isolate-only" {
		n.kind, n.board = safety.OperateDead, false
		if n.id == "" {
			n.id = "isolation/off"
		}
	}
	if n.id == "" {
		n.id = "isolation"
	}
}

func parseDeclare(v content.Value, n *node) {
	n.form, n.kind = Declare, safety.Look
	m := n.open(v, "a declaration", "declare")
	n.id = m.OneOf("declare", "origin")
	n.noID(m)
	n.bothWordings(m)
}

func parseAccept(v content.Value, n *node) {
	n.form, n.kind = Accept, safety.Look
	m := n.open(v, "an acceptance", "accept")
	n.id = m.OneOf("accept", "record")
	n.noID(m)
	n.bothWordings(m)
}

func parseFinish(v content.Value, n *node) {
	n.form, n.kind = Finish, safety.Look
	m := n.open(v, "the end", "finish", "right", "wrong")
	n.ownID(m, "finish", "finish/")
	n.options(m)
	n.bothWordings(m)
}

func parseNote(v content.Value, n *node) {
	n.form, n.kind = Note, safety.Look
	m := n.open(v, "a note", "note")
	n.ownID(m, "note", "")
	n.bothWordings(m)
}

func parseInclude(v content.Value, n *node) {
	m := v.Map("an include", "include", "as", "when", "unless")
	n.include = m.Name("include")
	if n.include != "" && !validID(n.include) {
		m.Value("include").Errorf("write the name of a sequence, without .yaml", "%q is not the name of a sequence", n.include)
	}
	if n.as = m.OptName("as", ""); n.as != "" && !validPath(n.as) {
		m.Value("as").Errorf(pathHint, "%q cannot be a prefix of ids", n.as)
	}
	n.when, n.unless = conditions(m, "when"), conditions(m, "unless")
}

func parseEach(v content.Value, n *node) {
	m := v.Map("a repetition", "each", "where", "when", "unless", "steps")
	n.each = m.OneOf("each", "circuit", "rcd")
	n.when, n.unless = conditions(m, "when"), conditions(m, "unless")
	if m.Has("where") {
		if n.each == "rcd" {
			m.KeyOf("where").Errorf("put each: rcd inside an each: circuit to test only its RCD", "where: picks circuits, not RCDs")
		}
		n.parseWhere(m.Map("where", "shape", "circuit", "first"))
	}
	n.steps = parseSteps(m.Value("steps"))
}

func (n *node) parseWhere(m content.Map) {
	n.where = map[string][]string{}
	for _, k := range m.Keys() {
		v := m.Value(k)
		words := wordList(v)
		if v.Kind() != content.Missing && len(words) == 0 {
			v.Errorf("", "this list is empty")
		}
		n.where[k] = words
		for _, w := range words {
			switch {
			case k == "shape" && !slices.Contains(shapeNames, w):
				v.Errorf("one of: "+strings.Join(shapeNames, ", "), "unknown shape %q", w)
			case k == "first" && !isTrait(w):
				v.Errorf(content.DidYouMean(w, traitNames()), "%q says nothing about a circuit", w)
			}
		}
	}
	if m.Exists() && len(n.where) == 0 {
		m.Errorf("give shape:, circuit: or first:, or leave where: out", "where: is empty")
	}
}

// wordList reads one word, or a list of them.
func wordList(v content.Value) []string {
	if v.Kind() == content.Scalar {
		if w := v.Name(); w != "" {
			return []string{w}
		}
		return nil
	}
	var words []string
	for _, item := range v.List() {
		if w := item.Name(); w != "" {
			words = append(words, w)
		}
	}
	return words
}

func parseBlock(v content.Value, n *node) {
	m := v.Map("a block", "block", "when", "unless", "steps")
	n.block = m.Name("block")
	n.when, n.unless = conditions(m, "when"), conditions(m, "unless")
	n.steps = parseSteps(m.Value("steps"))
}

// readTests and observeTests are the tests whose results are typed as readings, and those whose results are seen.
var (
	readTests = []string{
		safety.TestEarthing, safety.TestBonding, safety.TestBars, safety.TestSupplyCable,
		safety.TestEnds, safety.TestCrossedLN, safety.TestCrossedLE, safety.TestContinuity, safety.TestLongLead,
		safety.TestOwnBar, safety.TestSwitching, safety.TestInsulation,
		safety.TestSupply, safety.TestZe, safety.TestElectrode, safety.TestPFC,
		safety.TestZs, safety.TestZsCalculated, safety.TestRCD, safety.TestInstrument,
	}
	observeTests = []string{safety.TestPolarity, safety.TestPhases, safety.TestRCDButton, safety.TestFunctional}
)

package sequence

import (
	"strings"

	"wanderlead/internal/content"
	"wanderlead/safety"
)

func parseAct(v content.Value, n *node) {
	n.form = Act
	m := n.open(v, "an act", "act", "opens", "closes", "at", "right", "wrong")
	word := m.Name("act")
	k, ok := safety.ParseKind(word)
	if !ok || k.IsGate() || k.Live() || k == safety.DeadTest {
		m.Value("act").Errorf("one of: take-off-cover, fit-cover, lift, reconnect, link, unlink, take-out, put-back, prepare, operate-dead, look",
			"unknown kind of act %q", word)
	}
	n.kind = k
	n.opens, n.closes = m.Has("opens"), m.Has("closes")
	if n.opens && n.closes {
		m.Errorf("split it into two acts", "an act either opens or closes an item")
	}
	key, want := "opens", func(c safety.Class) safety.Kind { return c.OpensBy() }
	if n.closes {
		key, want = "closes", func(c safety.Class) safety.Kind { return c.ClosesBy() }
	}
	if n.opens || n.closes {
		n.class, n.item = itemRef(m.Value(key))
		if n.class != safety.NoClass && want(n.class) != k {
			m.Value("act").Errorf("write act: "+want(n.class).String(), "%s", errKind(k, want(n.class)))
		}
	} else if k.Touches() || k.Exposes() {
		m.Errorf("name the item with opens: or closes:, so that the ledger knows of it", "an act of kind %q changes something at conductors", k)
	}
	n.place(m, k)
	n.bothWordings(m)
	n.options(m)
	n.needID(m)
}

// place reads where hands go. An act that touches is somewhere.
func (n *node) place(m content.Map, k safety.Kind) {
	at := m.OptOneOf("at", "", "board", "points", "both", "")
	n.board = at == "board" || at == "both"
	n.points = at == "points" || at == "both"
	if (k.Touches() || k.Exposes()) && at == "" {
		m.Errorf("write at: board, points or both", "an act of kind %q says where hands go", k)
	}
}

func (n *node) needID(m content.Map) {
	if n.id == "" {
		m.Errorf("for instance  id: ends/lift", "this step has no id")
	}
}

func parseAsk(v content.Value, n *node) {
	n.form, n.kind = Ask, safety.Look
	m := n.open(v, "a question", "ask", "choose", "right", "wrong")
	n.id = m.Name("ask")
	n.choose = m.OptOneOf("choose", "", "neutral-bar", "test-voltage", "")
	if n.choose == "" {
		n.options(m)
	}
	n.bothWordings(m)
}

func parseRead(v content.Value, n *node) {
	n.form = Read
	m := n.open(v, "a reading", "read", "parts")
	n.readTest(m, "read")
	n.parts = m.OptName("parts", "")
	n.bothWordings(m)
}

func (n *node) readTest(m content.Map, key string) {
	n.test = m.Name(key)
	k, ok := safety.TestKind(n.test)
	if !ok {
		m.Value(key).Errorf("one of: "+strings.Join(testNames(), ", "), "unknown test %q", n.test)
	}
	n.kind = k
	n.board, n.points = safety.TestPlaces(n.test)
	if n.id == "" {
		n.id = n.test
	}
}

func parseObserve(v content.Value, n *node) {
	n.form = Observe
	m := n.open(v, "an observation", "observe", "right", "wrong")
	n.readTest(m, "observe")
	n.options(m)
	n.bothWordings(m)
	if len(n.wrong) == 0 {
		m.Errorf("say what a fault would look like under wrong:", "an observation that cannot go wrong shows nothing")
	}
}

func parseInspect(v content.Value, n *node) {
	n.form, n.test = Inspect, safety.TestInspection
	m := n.open(v, "an inspection item", "inspect", "expects", "outside", "right", "wrong")
	n.id = "inspection/" + m.Name("inspect")
	n.kind, n.board = safety.InspectOpen, true
	if m.OptBool("outside", false) {
		n.kind, n.board = safety.Look, false
	}
	n.expects = m.OptOneOf("expects", "", "devices", "rcd-types", "")
	if n.expects == "" {
		n.options(m)
	}
	n.bothWordings(m)
}

func parseGate(v content.Value, n *node) {
	n.form = Gate
	m := n.open(v, "a gate", "gate")
	if m.OneOf("gate", "incoming", "installation") == "installation" {
		n.gate, n.id = safety.EnergiseInstallation, "gate/installation"
	} else {
		n.gate, n.id = safety.EnergiseIncoming, "gate/incoming"
	}
	if raw := m.OptName("id", ""); raw != "" {
		n.id = raw
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
	m := n.open(v, "a safety block", "safety", "at")
	m.OneOf("safety", "isolate", "isolate-only")
	if m.OptOneOf("safety", "", "isolate", "isolate-only", "") == "isolate-only" {
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
	n.form, n.kind, n.id = Declare, safety.Look, "origin"
	m := n.open(v, "a declaration", "declare")
	m.OneOf("declare", "origin")
	n.bothWordings(m)
}

func parseAccept(v content.Value, n *node) {
	n.form, n.kind, n.id = Accept, safety.Look, "record"
	m := n.open(v, "an acceptance", "accept")
	m.OneOf("accept", "record")
	n.bothWordings(m)
}

func parseFinish(v content.Value, n *node) {
	n.form, n.kind = Finish, safety.Look
	m := n.open(v, "the end", "finish", "right", "wrong")
	n.id = "finish/" + m.Name("finish")
	n.options(m)
	n.bothWordings(m)
}

func parseNote(v content.Value, n *node) {
	n.form, n.kind = Note, safety.Look
	m := n.open(v, "a note", "note")
	n.id = m.Name("note")
	if n.id != "" && !validPath(n.id) {
		m.Value("note").Errorf("use lower-case letters, digits and hyphens, parts joined by /", "note id %q", n.id)
	}
	n.bothWordings(m)
}

func parseInclude(v content.Value, n *node) {
	m := v.Map("an include", "include", "as", "when", "unless")
	n.include = m.Name("include")
	if n.as = m.OptName("as", ""); n.as != "" && !validPath(n.as) {
		m.Value("as").Errorf("use lower-case letters, digits and hyphens, parts joined by /", "prefix %q", n.as)
	}
	n.when, n.unless = conditions(m, "when"), conditions(m, "unless")
}

func parseEach(v content.Value, n *node) {
	m := v.Map("a repetition", "each", "where", "when", "unless", "steps")
	n.each = m.OneOf("each", "circuit", "rcd")
	n.when, n.unless = conditions(m, "when"), conditions(m, "unless")
	if m.Has("where") {
		n.where = map[string][]string{}
		wm := m.Map("where", "shape", "circuit")
		for _, k := range wm.Keys() {
			n.where[k] = wm.Value(k).Strs()
		}
		for _, s := range n.where["shape"] {
			switch s {
			case "ring", "radial", "lighting", "fixed":
			default:
				wm.Value("shape").Errorf("one of: ring, radial, lighting, fixed", "unknown shape %q", s)
			}
		}
	}
	n.steps = parseSteps(m.List("steps"))
}

func parseBlock(v content.Value, n *node) {
	m := v.Map("a block", "block", "when", "unless", "steps")
	n.block = m.Name("block")
	n.when, n.unless = conditions(m, "when"), conditions(m, "unless")
	n.steps = parseSteps(m.List("steps"))
}

func testNames() []string {
	return []string{
		safety.TestEarthing, safety.TestBonding, safety.TestBars, safety.TestSupplyCable,
		safety.TestEnds, safety.TestCrossedLN, safety.TestCrossedLE, safety.TestContinuity, safety.TestLongLead,
		safety.TestOwnBar, safety.TestSwitching, safety.TestInsulation, safety.TestPolarity,
		safety.TestSupply, safety.TestZe, safety.TestElectrode, safety.TestPFC,
		safety.TestZs, safety.TestZsCalculated, safety.TestRCD, safety.TestRCDButton,
		safety.TestPhases, safety.TestFunctional, safety.TestInstrument,
	}
}

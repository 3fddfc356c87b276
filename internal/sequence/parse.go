package sequence

import (
	"strings"

	"wanderlead/internal/content"
	"wanderlead/safety"
)

// Sequence is a sequence file as read: typed nodes, not yet on a rig.
type Sequence struct {
	ID, Title, About string
	Origins          []Origin // ways to know the origin that it supports; empty: it never energises
	FromRecord       bool     // starts from an accepted record of dead tests
	Stages           []stage
	Steps            []node // of a fragment, to be included
	at               content.Value
}

type stage struct {
	id, title string
	steps     []node
	at        content.Value
}

// node is one written step: an act or question, or a group of further nodes.
type node struct {
	form         Form
	id           string
	at           content.Value
	when, unless []string
	text         Text
	right        Option
	wrong        []Option

	kind          safety.Kind
	class         safety.Class
	item          string
	opens, closes bool
	board, points bool
	test          string
	parts         string // selector of parts
	choose        string
	gate          safety.Kind
	expects       string

	include string
	as      string // prefix of the ids of what is included
	each    string
	where   map[string][]string
	block   string
	steps   []node
}

// keys common to every step.
var common = []string{"id", "when", "unless", "practise", "study", "why", "leads", "caution"}

// Parse reads one sequence file.
func Parse(name string, data []byte) (*Sequence, error) {
	return ParseReader(content.NewReader(name, data))
}

// ParseReader is Parse for a file whose texts come in another language; see content.Library.Parse.
func ParseReader(r *content.Reader) (*Sequence, error) {
	s := parse(r)
	return s, r.Err()
}

func parse(r *content.Reader) *Sequence {
	m := r.Root().Map("a sequence", "sequence", "title", "about", "incoming", "start", "stages", "steps")
	s := &Sequence{ID: m.Name("sequence"), Title: m.Line("title"), About: m.OptText("about", ""), at: m.Self()}
	if !validID(s.ID) && s.ID != "" {
		m.Value("sequence").Errorf(idHint, "%q cannot be a sequence's name", s.ID)
	}
	switch m.OptOneOf("incoming", "", "measured", "declared", "either") {
	case "measured":
		s.Origins = []Origin{Measured}
	case "declared":
		s.Origins = []Origin{Declared}
	case "either":
		s.Origins = []Origin{Measured, Declared}
	}
	s.FromRecord = m.OptOneOf("start", "fresh", "fresh", "record") == "record"
	if m.Exists() && m.Has("stages") == m.Has("steps") {
		m.Errorf("write `stages:` for a whole sequence, `steps:` for one that others include", "a sequence has either stages or steps")
	}
	for _, v := range m.OptList("stages") {
		s.Stages = append(s.Stages, parseStage(v, s.Stages))
	}
	if v := m.Opt("stages"); v.Kind() == content.ListKind && len(s.Stages) == 0 {
		v.Errorf("", "this list is empty")
	}
	if m.Has("steps") {
		s.Steps = parseSteps(m.Value("steps"))
	}
	return s
}

func parseStage(v content.Value, before []stage) stage {
	m := v.Map("a stage", "stage", "title", "steps")
	st := stage{id: m.Name("stage"), title: m.Line("title"), steps: parseSteps(m.Value("steps")), at: v}
	if st.id != "" && !validID(st.id) {
		m.Value("stage").Errorf(idHint, "%q cannot be a stage's id", st.id)
	}
	for _, b := range before {
		if st.id != "" && b.id == st.id {
			m.Value("stage").Errorf("give each stage its own id", "stage %q stands twice", st.id)
		}
	}
	return st
}

func parseSteps(list content.Value) []node {
	vs := list.List()
	if list.Kind() == content.ListKind && len(vs) == 0 {
		list.Errorf("", "this list is empty")
	}
	nodes := make([]node, 0, len(vs))
	for _, v := range vs {
		if n, ok := parseStep(v); ok {
			nodes = append(nodes, n)
		}
	}
	return nodes
}

// formParser returns the parser of the step form that the key names.
func formParser(key string) func(content.Value, *node) {
	switch key {
	case "act":
		return parseAct
	case "ask":
		return parseAsk
	case "read":
		return parseRead
	case "observe":
		return parseObserve
	case "inspect":
		return parseInspect
	case "gate":
		return parseGate
	case "switch":
		return parseSwitch
	case "safety":
		return parseIsolate
	case "declare":
		return parseDeclare
	case "accept":
		return parseAccept
	case "finish":
		return parseFinish
	case "note":
		return parseNote
	case "include":
		return parseInclude
	case "each":
		return parseEach
	case "block":
		return parseBlock
	}
	return nil
}

func parseStep(v content.Value) (node, bool) {
	n := node{at: v}
	if v.Kind() == content.Missing {
		return n, false
	}
	if v.Kind() != content.MapKind {
		v.Errorf("a step starts with one of: "+strings.Join(formKeys(), ", "), "found %s, should be a step", v.Kind())
		return n, false
	}
	var found []string
	for _, k := range v.OpenMap("a step").Keys() {
		if formParser(k) != nil {
			found = append(found, k)
		}
	}
	if len(found) != 1 {
		v.Errorf("one of: "+strings.Join(formKeys(), ", "), "a step has exactly one form, found %d", len(found))
		return n, false
	}
	formParser(found[0])(v, &n)
	return n, true
}

func formKeys() []string {
	return []string{"safety", "act", "ask", "read", "observe", "inspect", "gate", "switch", "declare", "accept", "finish", "note", "include", "each", "block"}
}

// open declares the keys of a step and reads the common ones.
func (n *node) open(v content.Value, what string, keys ...string) content.Map {
	m := v.Map(what, append(append([]string{}, keys...), common...)...)
	n.id = m.OptName("id", "")
	if n.id != "" && !validPath(n.id) {
		m.Value("id").Errorf(pathHint, "%q cannot be a step's id", n.id)
	}
	n.when, n.unless = conditions(m, "when"), conditions(m, "unless")
	n.text = Text{
		Practise: m.OptText("practise", ""), Study: m.OptText("study", ""), Why: m.OptText("why", ""),
		Leads: m.OptText("leads", ""), Caution: m.OptText("caution", ""),
	}
	return m
}

// bothWordings demands the two wordings: what reads right at a rig must not be
// shown to someone alone at home.
func (n *node) bothWordings(m content.Map) {
	for _, k := range []string{"practise", "study"} {
		if !m.Has(k) {
			m.Errorf("write both `practise:` and `study:`", "a step says what to do in both wordings, %s: is missing", k)
		} else if v := m.Value(k); v.Kind() == content.Scalar && strings.TrimSpace(v.Str()) == "" {
			v.Errorf("write both `practise:` and `study:`", "this wording is empty")
		}
	}
}

// options reads the right answer and the wrong ones.
func (n *node) options(m content.Map) {
	rm := m.Map("right", "say", "text")
	n.right = Option{Say: sayOf(rm), Text: rm.Line("text")}
	seen := map[string]bool{n.right.Say: true}
	for _, v := range m.OptList("wrong") {
		wm := v.Map("a wrong answer", "say", "text", "because", "retest")
		o := Option{Say: sayOf(wm), Text: wm.Line("text"), Because: wm.Line("because"), Retest: wm.OptBool("retest", false)}
		if o.Say != "" && seen[o.Say] {
			wm.Value("say").Errorf("give each answer its own word", "answer %q stands here twice", o.Say)
		}
		seen[o.Say] = true
		n.wrong = append(n.wrong, o)
	}
}

// sayOf is the word of an answer as scripts and records hold it.
func sayOf(m content.Map) string {
	say := m.Name("say")
	switch {
	case say == "":
	case !validID(say):
		m.Value("say").Errorf(idHint, "%q cannot be the word of an answer", say)
	case say == "not-yet":
		m.Value("say").Errorf("give the answer another word", "every question takes not-yet already")
	}
	return say
}

func conditions(m content.Map, key string) []string {
	if !m.Has(key) {
		return nil
	}
	v := m.Value(key)
	words := wordList(v)
	for _, w := range words {
		if !isCondition(w) {
			v.Errorf(content.DidYouMean(w, conditionNames()), "unknown condition %q", w)
		}
	}
	if v.Kind() == content.ListKind && len(v.List()) == 0 {
		v.Errorf("", "this list is empty")
	}
	return words
}

const (
	idHint   = "use lower-case letters, digits and hyphens"
	pathHint = "use lower-case letters, digits and hyphens, parts joined by /"
)

func validID(s string) bool {
	if s == "" || len(s) > 60 {
		return false
	}
	for _, r := range s {
		if (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '-' {
			return false
		}
	}
	return true
}

func validPath(s string) bool {
	for _, p := range strings.Split(s, "/") {
		if !validID(p) {
			return false
		}
	}
	return true
}

// itemRef splits "class name" as written after opens: and closes:.
func itemRef(v content.Value) (safety.Class, string) {
	raw := v.Name()
	if raw == "" {
		return safety.NoClass, ""
	}
	word, name, _ := strings.Cut(raw, " ")
	class, ok := safety.ParseClass(word)
	if !ok {
		v.Errorf("one of: "+strings.Join(classNames(), ", "), "unknown class of ledger item %q", word)
		return safety.NoClass, ""
	}
	if !validID(name) {
		v.Errorf("write the class, then a short name: "+word+" short-name", "%q does not name the item", raw)
	}
	return class, name
}

func classNames() []string {
	var names []string
	for c := safety.Cover; c.String() != "unknown"; c++ {
		names = append(names, c.String())
	}
	return names
}

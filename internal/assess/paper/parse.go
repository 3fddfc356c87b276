package paper

import (
	"wanderlead/internal/content"
)

// Parse reads one paper; name is the file's name in messages. Tolerances are the
// paper's own rows only, see [Load]. The error lists everything that is wrong.
func Parse(name string, data []byte) (*Paper, error) {
	return parse(content.NewReader(name, data), string(data))
}

func parse(r *content.Reader, text string) (*Paper, error) {
	m := r.Root().Map("paper", "paper", "title", "about", "rig", "sequence", "edition", "incoming", "minutes", "settings",
		"help", "marks", "tasks", "faults", "tolerances", "pass_percent")
	p := &Paper{at: m.Self(), Text: text}
	p.ID, p.Title, p.About = m.Name("paper"), m.Line("title"), m.OptText("about", "")
	p.Rig, p.Sequence, p.Edition = m.Name("rig"), m.Name("sequence"), m.OptName("edition", "")
	p.Incoming = m.OptOneOf("incoming", "", "measured", "declared")
	p.Minutes = m.Int("minutes")
	if v := m.Opt("minutes"); p.Minutes <= 0 || p.Minutes%Step != 0 || p.Minutes > 480 {
		v.Errorf("15, 30, 45 … up to 480", "a paper's time goes in steps of %d minutes, and %d is none", Step, p.Minutes)
	}
	seen := map[Setting]bool{}
	for _, v := range m.List("settings") {
		s := Setting(v.OneOf(string(Observed), string(HoldPoints), string(Alone)))
		if seen[s] {
			v.Errorf("", "the setting %q is listed twice", s)
		}
		seen[s] = true
		p.Settings = append(p.Settings, s)
	}
	if len(p.Settings) == 0 {
		m.Self().Errorf("settings: [observed, hold-points, alone]", "a paper needs a setting to be sat in")
	}
	p.Help = m.OptStrs("help")
	p.PassPercent = m.OptInt("pass_percent", 60)
	if p.PassPercent < 0 || p.PassPercent > 100 {
		m.Opt("pass_percent").Errorf("0 to 100", "%d is no share of the marks", p.PassPercent)
	}
	usual := Marks{SetUp: 2, Connection: 2, Reading: 2, Interpretation: 2, Reinstatement: 1, Record: 1}
	if m.Has("marks") {
		usual = marks(m.Map("marks", partNames()...), Marks{})
	}
	p.tasks(m, usual)
	p.faults(m)
	for _, v := range m.OptList("tolerances") {
		p.own = append(p.own, toleranceRow(v))
	}
	p.Tolerances = Tolerances{Rows: p.own}
	return p, r.Err()
}

func partNames() []string {
	var out []string
	for _, p := range Parts {
		out = append(out, string(p))
	}
	return out
}

// marks reads what the parts are worth, over what they are worth otherwise. Marks are
// even where a half can be given.
func marks(m content.Map, base Marks) Marks {
	out := Marks{}
	for _, p := range Parts {
		n := m.OptInt(string(p), base[p])
		if n < 0 || n > 20 {
			m.Opt(string(p)).Errorf("0 to 20", "%d is no number of marks", n)
			continue
		}
		out[p] = n
	}
	if out.Sum() == 0 && m.Exists() {
		m.Self().Errorf("", "a task that is worth nothing need not be marked")
	}
	return out
}

func (p *Paper) tasks(m content.Map, usual Marks) {
	ids := map[string]bool{}
	for _, v := range m.List("tasks") {
		tm := v.Map("task", "task", "title", "test", "circuit", "marks")
		t := Task{ID: tm.Name("task"), Title: tm.Line("title"), Test: tm.Name("test"), Circuit: tm.OptName("circuit", ""), Marks: usual, At: v}
		if tm.Has("marks") {
			t.Marks = marks(tm.Map("marks", partNames()...), usual)
		}
		if ids[t.ID] {
			v.Errorf("", "the task %q is there twice", t.ID)
		}
		ids[t.ID] = true
		p.Tasks = append(p.Tasks, t)
	}
	if m.Has("tasks") && len(p.Tasks) == 0 {
		m.Opt("tasks").Errorf("", "a paper needs a task")
	}
}

func (p *Paper) faults(m content.Map) {
	fm := m.OptMap("faults", "fixed", "draw")
	for _, v := range fm.OptList("fixed") {
		p.Fixed = append(p.Fixed, fault(v))
	}
	for _, v := range fm.OptList("draw") {
		dm := v.Map("draw", "take", "level", "from")
		pool := Pool{Take: dm.Int("take"), Level: dm.Int("level"), At: v}
		for _, f := range dm.List("from") {
			pool.From = append(pool.From, fault(f))
		}
		if dm.Has("level") && (pool.Level < 1 || pool.Level > 3) {
			dm.Opt("level").Errorf("1 shows at once, 2 needs a second reading, 3 an extra test", "%d is no level of difficulty", pool.Level)
		}
		if dm.Has("take") && dm.Has("from") && (pool.Take < 1 || pool.Take >= len(pool.From)) {
			dm.Opt("take").Errorf("fewer than the pool holds, or nothing is left to chance", "%d of %d faults are to be drawn", pool.Take, len(pool.From))
		}
		p.Pools = append(p.Pools, pool)
	}
}

func fault(v content.Value) Fault {
	m := v.Map("fault", "id", "kind", "circuit")
	f := Fault{ID: m.OptName("id", ""), Kind: m.OptName("kind", ""), Circuit: m.OptName("circuit", ""), At: v}
	if m.Exists() && (f.ID == "") == (f.Kind == "") {
		v.Errorf("id: one of the rig's own faults, or kind: F01 with its circuit", "a fault is named by id or by kind")
	}
	if f.ID != "" && f.Circuit != "" {
		v.Errorf("", "a fault named by id has its circuit from the rig")
	}
	return f
}

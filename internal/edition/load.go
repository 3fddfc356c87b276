package edition

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"wanderlead/internal/content"
)

// maxBase is how many editions may stand on each other.
const maxBase = 8

// Load reads the edition pack name ("bs7671-2018-a4"; "" is Default) and the
// editions it stands on from editions/NAME.yaml. The error lists everything
// wrong with the files, or the editions there are when none has the name.
func Load(lib *content.Library, name string) (*Pack, error) {
	if name == "" {
		name = Default
	}
	return load(lib, name, nil)
}

// Names lists the editions there are, built in and in the overlay folder.
func Names(lib *content.Library) ([]string, error) {
	files, err := lib.List("editions")
	if err != nil {
		return nil, err
	}
	out := make([]string, 0, len(files))
	for _, f := range files {
		out = append(out, strings.TrimSuffix(path.Base(f), ".yaml"))
	}
	slices.Sort(out)
	return out, nil
}

func load(lib *content.Library, name string, above []string) (*Pack, error) {
	if slices.Contains(above, name) || len(above) >= maxBase {
		return nil, fmt.Errorf("edition %q stands on itself: %s", name, strings.Join(append(above, name), " on "))
	}
	reader, err := lib.Open("editions/" + name + ".yaml")
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) || strings.Contains(err.Error(), "not a content name") {
			names, _ := Names(lib)
			return nil, &LimitError{fmt.Sprintf("no edition is named %q", name), content.DidYouMean(name, names)}
		}
		return nil, err
	}
	m := reader.Root().Map("edition pack", "edition", "title", "base", "carried_over", "values", "breakers", "fuses", "without_limits",
		"ze_typical", "electrode", "insulation", "disconnection", "conductors", "breaking_capacity", "rcd", "rcd_products", "rcd_ramp")
	p := &Pack{values: map[Key]Entry{}, zeTypical: map[string]Entry{}}
	if base := m.OptName("base", ""); base != "" {
		under, err := load(lib, base, append(above, name))
		if err != nil {
			return nil, fmt.Errorf("edition %s stands on %s: %w", name, base, err)
		}
		p = under
		p.StandsOn = append([]string{base}, p.StandsOn...)
		p.CarriedOver = m.OptName("carried_over", "")
		if p.CarriedOver != "" {
			p.carry()
		}
	} else if m.Has("carried_over") {
		m.KeyOf("carried_over").Errorf("", "nothing is carried over without a base")
	}
	p.Name, p.Title = m.Name("edition"), m.Name("title")
	if p.Name != "" && p.Name != name {
		m.Value("edition").Errorf("name the file after the edition", "edition %q is in a file named %s.yaml", p.Name, name)
	}
	(&loader{p: p, m: m}).sections()
	if err := reader.Err(); err != nil {
		return nil, err
	}
	return p, nil
}

// carry marks the source of every inherited entry; Notice says how it came here.
func (p *Pack) carry() {
	add := func(s *string) { *s += ", carried over" }
	p.values = maps.Clone(p.values)
	for k, e := range p.values {
		if e.Status != CommonPractice {
			add(&e.Source)
			p.values[k] = e
		}
	}
	for k, e := range p.zeTypical {
		add(&e.Source)
		p.zeTypical[k] = e
	}
	for _, s := range []*string{&p.breakers.source, &p.electrode.source, &p.disconnection.source, &p.conductors.source} {
		add(s)
	}
	for i := range p.fuses {
		add(&p.fuses[i].source)
	}
	for i := range p.insulation {
		add(&p.insulation[i].source)
	}
	for i := range p.rcd.rules {
		add(&p.rcd.rules[i].source)
	}
	for i := range p.rcdRamp {
		add(&p.rcdRamp[i].source)
	}
}

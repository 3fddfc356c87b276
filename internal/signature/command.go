package signature

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
)

// Request is what the signature command is asked for.
type Request struct {
	Rig, Circuit string
	Faults       []string
	Edition      string // whose table of conductors is used
	Seed         uint64
	Exact, JSON  bool
}

// Run computes a signature and writes it: as one line of JSON, or as a line a reading for people. The error says which
// rig, circuit, fault or edition is not known; nothing is written then.
func Run(w io.Writer, lib *content.Library, q Request) error {
	r, err := rig.Load(lib, q.Rig)
	if err != nil {
		return err
	}
	pack, err := edition.Load(lib, q.Edition)
	if err != nil {
		return err
	}
	s, err := Compute(r, Copper(pack), q.Circuit, q.Faults, q.Exact, q.Seed)
	if err != nil {
		return err
	}
	if q.JSON {
		data, err := json.Marshal(s)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(w, "%s\n", data)
		return err
	}
	_, err = io.WriteString(w, s.Text())
	return err
}

// Copper is the edition pack's table of conductors, in ohms per metre.
func Copper(pack *edition.Pack) func(mm2 float64) (float64, bool) {
	return func(mm2 float64) (float64, bool) {
		e, ok := pack.Copper(mm2)
		return e.Value / 1000, ok
	}
}

// Text is a table of the readings, one a line: the reading's name, its value and unit; what was not read says so.
func (s *Signature) Text() string {
	var rows [][2]string
	line := func(name string, n *Number, unit, none string) {
		switch {
		case n == nil:
		case n.Open:
			rows = append(rows, [2]string{name, none})
		default:
			rows = append(rows, [2]string{name, fmt.Sprintf("%.4g %s", n.Value, unit)})
		}
	}
	if e := s.RingEnds; e != nil {
		line("r1, line end to end", &e.R1, "Ω", "open")
		line("rn, neutral end to end", &e.RN, "Ω", "open")
		line("r2, cpc end to end", &e.R2, "Ω", "open")
	}
	if c := s.RingCrossed; c != nil {
		for i := range c.LineNeutral {
			line("line-neutral crossed at "+s.point(i), &c.LineNeutral[i], "Ω", "open")
		}
		for i := range c.LineCPC {
			line("line-cpc crossed at "+s.point(i), &c.LineCPC[i], "Ω", "open")
		}
	}
	line("R1+R2, highest", s.R1R2, "Ω", "open")
	line("R2, highest", s.R2, "Ω", "open")
	if i := s.Insulation; i != nil {
		line("insulation L-N", i.LN, "MΩ", "over range")
		line("insulation L-E", i.LE, "MΩ", "over range")
		line("insulation N-E", i.NE, "MΩ", "over range")
		line("insulation LN-E", i.LNE, "MΩ", "over range")
	}
	line("Ze", s.Ze, "Ω", "no reading")
	if s.Zs != nil {
		for i, id := range s.Zs.IDs {
			line("Zs at "+id, &s.Zs.Values[i], "Ω", "no reading")
		}
	}
	if d := s.RCD; d != nil {
		line("RCD at half its rating", &d.Half, "ms", "no trip")
		line("RCD at its rating", &d.One, "ms", "no trip")
		line("RCD at five times", &d.Five, "ms", "no trip")
		line("RCD ramp", &d.RampMA, "mA", "no trip")
	}
	var b strings.Builder
	for _, r := range rows {
		fmt.Fprintf(&b, "%-30s %s\n", r[0], r[1])
	}
	return b.String()
}

// point names a point of the ring: those where Zs is read are the same, in the same order.
func (s *Signature) point(i int) string {
	if s.Zs != nil && i < len(s.Zs.IDs) {
		return s.Zs.IDs[i]
	}
	return fmt.Sprintf("point %d", i+1)
}

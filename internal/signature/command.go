package signature

import (
	"encoding/json"
	"fmt"
	"io"

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

// Text lists the readings, one a line: the reading's name, its value and unit; "open" where nothing was read.
func (s *Signature) Text() string {
	text := ""
	line := func(name string, n *Number, unit, none string) {
		switch {
		case n == nil:
		case n.Open:
			text += fmt.Sprintf("%s: %s\n", name, none)
		default:
			text += fmt.Sprintf("%s: %.4g %s\n", name, n.Value, unit)
		}
	}
	if e := s.RingEnds; e != nil {
		line("r1", &e.R1, "Ω", "open")
		line("rn", &e.RN, "Ω", "open")
		line("r2", &e.R2, "Ω", "open")
	}
	if c := s.RingCrossed; c != nil {
		for i := range c.LineNeutral {
			line(fmt.Sprintf("line-neutral crossed, point %d", i+1), &c.LineNeutral[i], "Ω", "open")
		}
		for i := range c.LineCPC {
			line(fmt.Sprintf("line-cpc crossed, point %d", i+1), &c.LineCPC[i], "Ω", "open")
		}
	}
	line("R1+R2", s.R1R2, "Ω", "open")
	line("R2", s.R2, "Ω", "open")
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
		line("RCD at half", &d.Half, "ms", "no trip")
		line("RCD at 1×", &d.One, "ms", "no trip")
		line("RCD at 5×", &d.Five, "ms", "no trip")
		line("RCD ramp", &d.RampMA, "mA", "no trip")
	}
	return text
}

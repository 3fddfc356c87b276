package screen

import (
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/draw"
	"wanderlead/internal/rig"
	"wanderlead/internal/study"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// Show draws what somebody asked to look at in a led session: what is open, the board with
// the circuit in hand, and that circuit. What does not fit the screen is left out from the
// end.
func (s *Screen) Show(st *coach.State) []Line {
	p := s.page()
	p.fixed(Body, "")
	if s.openItems(st) == "" {
		p.text(Open, s.word("end.open-none"))
	} else {
		s.add(p, s.ledgerSketch(st), noLimit)
	}
	var this *rig.Circuit
	prog := st.Program()
	v := draw.BoardView{}
	if q, ok := st.Question(); ok && q.Step >= 0 && q.Step < len(prog.Steps) && prog.Steps[q.Step].Circuit >= 0 {
		this = &prog.Rig.Circuits[prog.Steps[q.Step].Circuit]
		v.Hide = prog.Steps[q.Step].Choose == "neutral-bar"
	}
	hide := v.Hide
	v = s.boardView(st, this)
	v.Hide, v.Bar = hide, this != nil && !hide
	s.boardAndCircuit(p, v)
	return p.lines
}

// StudyShow is [Screen.Show] of a study session.
func (s *Screen) StudyShow(st *study.State) []Line {
	p := s.page()
	p.fixed(Body, "")
	s.standing(p, st)
	s.boardAndCircuit(p, s.studyBoard(st))
	return p.lines
}

// boardAndCircuit draws the board, and below it the marked circuit if both fit the screen.
func (s *Screen) boardAndCircuit(p *page, v draw.BoardView) {
	s.add(p, s.boardSketch(v), noLimit)
	if v.This == nil {
		return
	}
	free := noLimit
	if s.o.Height > 0 {
		free = s.o.Height - 2 - len(p.lines)
	}
	s.add(p, sketch{"circuit", []draw.Picture{draw.Circuit(s.options(), v.Rig, v.This)}}, free)
}

// studyBoard is the board as the learner has left it, with what that circuit's neutral
// and the others sit in.
func (s *Screen) studyBoard(st *study.State) draw.BoardView {
	prog := st.Sheet().State().Program()
	v := draw.BoardView{Rig: prog.Rig, This: &prog.Rig.Circuits[st.Focus()], Bar: true,
		Out: map[string]bool{}, Moved: map[string]string{}, Off: map[string]bool{}}
	cond := st.Condition()
	for end, lifted := range cond.Lifted {
		if id, core, ok := boardEnd(prog.Rig, end); ok && lifted {
			v.Out[id+"/"+core] = true
		}
	}
	for end, terminal := range cond.Moved {
		id, core, ok := boardEnd(prog.Rig, end)
		if bar, is := strings.CutPrefix(terminal, "board/bar/"); ok && is && core == "N" {
			v.Moved[id] = bar
		}
	}
	for device, open := range cond.Open {
		v.Off[device] = open
	}
	v.Off["main-switch"] = cond.Open[wiring.MainSwitch]
	if st.Facts().Supply == safety.Off { // everything is off then, and that is said in words
		v.Off = map[string]bool{"main-switch": v.Off["main-switch"]}
	}
	return v
}

// boardEnd parts the name of a conductor's end at the board into circuit and core.
func boardEnd(r *rig.Rig, end string) (circuit, core string, ok bool) {
	parts := strings.Split(end, "/")
	if len(parts) != 3 || parts[1] != "end" && parts[1] != "leg1" && parts[1] != "leg2" {
		return "", "", false
	}
	if _, known := r.Circuit(parts[0]); !known {
		return "", "", false
	}
	return parts[0], parts[2][:1], true
}

// With is the screen laid out another way.
func (s *Screen) With(o Options) *Screen {
	c := *s
	o.Width = max(MinWidth, min(MaxWidth, o.Width))
	c.o = o
	return &c
}

// Sized is the screen laid out for a terminal of another size; rows 0: not known.
func (s *Screen) Sized(columns, rows int) *Screen {
	o := s.o
	o.Width, o.Height = columns, rows
	return s.With(o)
}

func (s *Screen) only(k sketch) []Line {
	p := s.page()
	s.add(p, k, noLimit)
	return p.lines
}

// Board draws a board by itself.
func (s *Screen) Board(v draw.BoardView) []Line { return s.only(s.boardSketch(v)) }

// Circuit draws a circuit by itself.
func (s *Screen) Circuit(r *rig.Rig, c *rig.Circuit) []Line {
	return s.only(sketch{"circuit", []draw.Picture{draw.Circuit(s.options(), r, c)}})
}

// Ring draws a ring by itself.
func (s *Screen) Ring(v draw.RingView) []Line {
	return s.only(sketch{"ring", []draw.Picture{draw.Ring(s.options(), v)}})
}

// Scale draws a scale by itself.
func (s *Screen) Scale(v draw.ScaleView) []Line {
	return s.only(sketch{"scale", []draw.Picture{draw.Scale(s.options(), v)}})
}

// HalfCycles draws the half-cycles that RCD tests start on, by their degrees.
func (s *Screen) HalfCycles(degrees ...int) []Line {
	var halves []draw.Half
	for _, n := range degrees {
		halves = append(halves, draw.Half{Degrees: n, Text: strconv.Itoa(n) + "°"})
	}
	return s.only(sketch{"cycle", []draw.Picture{draw.Cycle(s.options(), halves...)}})
}

// Ledger draws what is open in a led session, or says that nothing is.
func (s *Screen) Ledger(st *coach.State) []Line {
	if s.openItems(st) == "" {
		p := s.page()
		p.text(Open, s.word("end.open-none"))
		return p.lines
	}
	return s.only(s.ledgerSketch(st))
}

package coach

import "encoding/binary"

// Memo remembers verdicts within one walk of a program, where the same readings are
// judged side by side a great many times. It must not outlive the program and pack of
// its session, and is not safe for concurrent use.
type Memo struct {
	values   map[string]uint32 // what was typed, numbered
	relied   map[int][]int     // by the first part of a group: the parts its verdict may look at
	verdicts map[string]remembered
}

// maxRemembered bounds the memory a long walk takes: what was forgotten is judged again.
const maxRemembered = 100_000

type remembered struct {
	class   Class
	verdict *Verdict
	notes   []Note
}

// NewMemo returns an empty memo.
func NewMemo() *Memo {
	return &Memo{values: map[string]uint32{}, relied: map[int][]int{}, verdicts: map[string]remembered{}}
}

func (m *Memo) number(raw string) uint32 {
	n, ok := m.values[raw]
	if !ok {
		n = uint32(len(m.values)) + 1
		m.values[raw] = n
	}
	return n
}

// verdict judges a group, or remembers what came of the same readings.
func (s *State) verdict(g group) (Class, *Verdict, []Note) {
	if s.memo == nil {
		return s.verdictAfresh(g)
	}
	parts, ok := s.memo.relied[g[0]]
	if !ok {
		parts = s.reliedOn(g)
		s.memo.relied[g[0]] = parts
	}
	key := binary.AppendUvarint(make([]byte, 0, 128), uint64(g[0]))
	for _, p := range parts {
		n := uint32(0)
		if e := s.latest[p]; e != nil {
			n = e.number
		}
		key = binary.AppendUvarint(key, uint64(n))
	}
	if r, ok := s.memo.verdicts[string(key)]; ok {
		return r.class, r.verdict, r.notes
	}
	var r remembered
	r.class, r.verdict, r.notes = s.verdictAfresh(g)
	if len(s.memo.verdicts) >= maxRemembered {
		clear(s.memo.verdicts)
	}
	s.memo.verdicts[string(key)] = r
	return r.class, r.verdict, r.notes
}

// reliedOn lists the parts a verdict may look at: its own, those of its circuit, and
// those of the board.
func (s *State) reliedOn(g group) []int {
	circuit := s.pl.p.Steps[s.pl.parts[g[0]].step].Circuit
	var parts []int
	for p := range s.pl.parts {
		if c := s.pl.p.Steps[s.pl.parts[p].step].Circuit; c < 0 || c == circuit {
			parts = append(parts, p)
		}
	}
	return parts
}

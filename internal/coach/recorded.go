package coach

// Recording is one reading or observation as it stands now.
type Recording struct {
	ID, Raw string
	Class   Class
}

// Recorded lists the latest entries, the last typed first.
func (s *State) Recorded() []Recording {
	var out []Recording
	for e := s.last; e != nil; e = e.Prev {
		if s.latest[e.Part] == e {
			out = append(out, Recording{ID: s.pl.parts[e.Part].id, Raw: e.Raw, Class: s.class[e.Part]})
		}
	}
	return out
}

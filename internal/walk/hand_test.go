package walk_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/sequence"
	"wanderlead/internal/walk"
	"wanderlead/safety"
)

// cast is who and what right answers name. The codes are as a front hashes them.
var cast = func() coach.Cast {
	c := walk.Cast
	c.Code = "code:pbkdf2-sha256:100000:" + strings.Repeat("0a", 32)
	return c
}()

var otherCode = "code:pbkdf2-sha256:100000:" + strings.Repeat("0b", 32)

// hand is somebody who works a session: right most of the time, and else in whatever
// way there is to be wrong. Everything it does follows from its seed.
type hand struct {
	r     *rand.Rand
	right float64  // how often it simply does what is right
	held  bool     // readings are held, and the supervisor takes their own
	ahead []string // typed already, blind, for whatever is asked then
}

// turn is one event of a hand.
type turn struct {
	ev coach.Event
	// misfit: the event does not belong here, and has to be refused as an error that
	// changes nothing. Everything else has to be taken, if only to be refused.
	misfit bool
	bare   bool // without content: it must change nothing
}

func said(at, raw string) turn {
	return turn{ev: coach.Event{Type: coach.Answer, At: at, Raw: raw}}
}

// next is what the hand does in a state. Whatever it types at a code is hashed.
func (h *hand) next(s *coach.State, q coach.Question) turn {
	t := h.types(s, q)
	if q.Kind == coach.Secret && t.ev.Type == coach.Answer && !t.bare && t.ev.Raw != cast.Code {
		t.ev.Raw = otherCode
	}
	return t
}

func (h *hand) types(s *coach.State, q coach.Question) turn {
	if len(h.ahead) > 0 {
		raw := h.ahead[0]
		h.ahead = h.ahead[1:]
		return said("", raw)
	}
	right := s.RightAnswer(cast)
	if h.r.Float64() < h.right {
		return h.does(s, q, right)
	}
	switch n := h.r.IntN(24); {
	case n < 9:
		return h.wrong(s, q, right)
	case n < 13:
		return h.correction(s, q)
	case n < 15:
		return turn{ev: coach.Event{Type: coach.Stop}}
	case n < 17:
		return turn{ev: coach.Event{Type: [...]coach.EventType{coach.Paused, coach.Resumed}[n-15]}}
	case n < 20:
		return h.typeAhead(s, q)
	case n < 21:
		return turn{ev: coach.Event{Type: coach.Remark, Raw: "the bay is cold"}}
	case n < 22:
		return turn{ev: coach.Event{Type: coach.Answer, At: q.ID, Raw: ""}, bare: true}
	}
	return h.misfit(s, q, right)
}

// does is what is right: in an exam the assessor takes a reading of their own where a
// gate waits for one.
func (h *hand) does(s *coach.State, q coach.Question, right string) turn {
	if h.held {
		if id := h.unmet(s); id != "" {
			return turn{ev: coach.Event{Type: coach.Check, At: id, Raw: rightOf(s, id)}}
		}
	}
	return said(q.ID, right)
}

// unmet is a reading that the assessor has to take: of the first step that lacks one, as
// an exam asks for them.
func (h *hand) unmet(s *coach.State) string {
	ids := s.Unmet()
	if len(ids) == 0 {
		return ""
	}
	for i := range s.Program().Steps {
		of := s.PartsOf(i)
		if !slices.Contains(of, ids[0]) {
			continue
		}
		ids = slices.DeleteFunc(ids, func(id string) bool { return !slices.Contains(of, id) })
		break
	}
	return ids[h.r.IntN(len(ids))]
}

// rightOf is what is right for a reading or an observation.
func rightOf(s *coach.State, id string) string {
	part, _ := s.PartOf(id)
	for i := range s.Program().Steps {
		if st := &s.Program().Steps[i]; st.Right.Say != "" && slices.Contains(s.PartsOf(i), id) {
			return st.Right.Say
		}
	}
	return s.RightReading(part)
}

// typeAhead types the right answers to the questions that should follow, and then
// something happens that makes others of them.
func (h *hand) typeAhead(s *coach.State, q coach.Question) turn {
	x := s
	for range 1 + h.r.IntN(4) {
		at, ok := x.Question()
		if !ok {
			break
		}
		raw := x.RightAnswer(cast)
		h.ahead = append(h.ahead, raw)
		x, _, _ = x.Apply(coach.Event{Type: coach.Answer, At: at.ID, Raw: raw})
	}
	switch h.r.IntN(3) {
	case 0:
		return turn{ev: coach.Event{Type: coach.Paused}}
	case 1:
		return turn{ev: coach.Event{Type: coach.Stop}}
	}
	return h.wrong(s, q, h.ahead[0])
}

// misfit is an answer to what is not asked, a correction of what is not recorded, an
// event that there is not.
func (h *hand) misfit(s *coach.State, q coach.Question, right string) turn {
	steps := s.Program().Steps
	at := steps[h.r.IntN(len(steps))].ID
	switch h.r.IntN(4) {
	case 0:
		return turn{ev: coach.Event{Type: coach.Correct, At: "no/such/reading", Raw: "0.42"}, misfit: true}
	case 1:
		return turn{ev: coach.Event{Type: "sing", At: q.ID, Raw: right}, misfit: true}
	case 2:
		at = "safety/installation/switch-on"
	}
	if at == q.ID {
		return said(at, right)
	}
	for _, p := range q.PartIDs {
		if p == at {
			return said(at, "0.42")
		}
	}
	return turn{ev: coach.Event{Type: coach.Answer, At: at, Raw: "on"}, misfit: true}
}

// wrong is an answer to what is asked that is not the right one.
func (h *hand) wrong(s *coach.State, q coach.Question, right string) turn {
	switch {
	case q.Kind == coach.Choice && len(q.Options) > 0 && h.r.IntN(8) > 0:
		return said(q.ID, q.Options[h.r.IntN(len(q.Options))].Value)
	case len(q.Parts) > 0:
		return h.row(s, q, right)
	case q.Fact == safety.FactDead:
		return said(q.ID, h.pairs(right))
	}
	lines := []string{"yes", "y", "ok", "7", "gone", "on", cast.Padlock, cast.MainPadlock, "9903", "1234", "repeat",
		cast.Reason, cast.People, "x", strings.Repeat("9", 40), "\u2126", "not-yet", "NOT YET", right + " ", "0"}
	return said(q.ID, lines[h.r.IntN(len(lines))])
}

// pairs is a line of proving with something wrong about it.
func (h *hand) pairs(right string) string {
	pieces := strings.Split(right, ", ")
	i := h.r.IntN(len(pieces))
	name, _, _ := strings.Cut(pieces[i], " ")
	switch h.r.IntN(6) {
	case 0:
		pieces = append(pieces[:i:i], pieces[i+1:]...)
	case 1:
		pieces[i] = name + " 231 V"
	case 2:
		pieces[i] = name + " lamp 2"
	case 3:
		pieces[i] = name
	case 4:
		pieces = append(pieces, pieces[i])
	default:
		h.r.Shuffle(len(pieces), func(a, b int) { pieces[a], pieces[b] = pieces[b], pieces[a] })
	}
	return strings.Join(pieces, ", ")
}

// row is a line of readings: of all that is asked for, of some of it, or of one part
// by its name.
func (h *hand) row(s *coach.State, q coach.Question, right string) turn {
	words := strings.Fields(right)
	st := &s.Program().Steps[q.Step]
	if st.Form != sequence.Read && st.Form != sequence.Inspect || len(words) != len(q.Parts) {
		return said(q.ID, h.reading(right))
	}
	at := q.ID
	switch i := h.r.IntN(len(words)); h.r.IntN(8) {
	case 0: // one of them, by its name
		at, words = q.PartIDs[i], words[i:i+1]
		if h.r.IntN(2) == 0 {
			words[0] = h.reading(words[0])
		}
	case 1: // too few
		words = words[:i]
	case 2: // too many
		words = append(words, words[i])
	case 3:
		return said(q.ID, []string{"limitation: boarded over", "not tested: no time left", "n/a", "limitation", "not tested: x"}[h.r.IntN(5)])
	case 4: // one for all
		words = []string{h.reading(words[i])}
	default:
		words[i] = h.reading(words[i])
		if h.r.IntN(4) == 0 {
			words[h.r.IntN(len(words))] = h.reading(words[i])
		}
	}
	return said(at, strings.Join(words, " "))
}

// reading is some reading in place of the right one: near it, far from it, or none.
func (h *hand) reading(right string) string {
	v, err := strconv.ParseFloat(strings.TrimLeft(right, ">"), 64)
	if err != nil || h.r.IntN(3) == 0 {
		other := []string{"1.50", "0.02", ">1999", ">299", "0.30", "0.00", "0", "99.9", "9.99", "no-trip", "500", "400", "40", "30", "16", "-0.05",
			"reads", "open", "C3", "N/V", "Z", "0.4 MΩ", "1,5", "NaN", "1e9", "Ω", right}
		return other[h.r.IntN(len(other))]
	}
	near := []float64{v, v * 1.15, v + 0.07, v + 0.12, v + 0.3, v * 1.5, v * 2, v * 0.85, v * 0.6, v + 5, v*1.25 + 0.06}
	return fmt.Sprintf("%.2f", near[h.r.IntN(len(near))])
}

// correction corrects something that is on record, in any direction.
func (h *hand) correction(s *coach.State, q coach.Question) turn {
	ids, steps := s.Correctable()
	if len(ids) == 0 {
		return said(q.ID, "9903")
	}
	i := h.r.IntN(len(ids))
	part, _ := s.PartOf(ids[i])
	st := &s.Program().Steps[steps[i]]
	raw := st.Right.Say
	if raw == "" {
		raw = s.RightReading(part)
	}
	if n := h.r.IntN(3); n > 0 && len(st.Wrong) > 0 {
		raw = st.Wrong[h.r.IntN(len(st.Wrong))].Say
	} else if n > 0 {
		raw = h.reading(raw)
	}
	if id := h.unmet(s); h.held && id != "" && h.r.IntN(2) == 0 {
		return turn{ev: coach.Event{Type: coach.Check, At: id, Raw: h.reading(rightOf(s, id))}}
	}
	return turn{ev: coach.Event{Type: coach.Correct, At: ids[i], Raw: raw}}
}

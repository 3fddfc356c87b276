package faultfind

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"

	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/words"
)

// Request is what the command is asked.
type Request struct {
	Circuit string
	Typed   []Typed
	Own     bool // every id must be one of the circuit's
	JSON    bool
}

// Locate reads, ranks and writes: found says whether some cause gives the readings. The error is one of input.
func Locate(w io.Writer, cat *words.Catalogue, r *rig.Rig, copper func(float64) (float64, bool), q Request) (found bool, err error) {
	var extra []string
	if c, ok := r.Circuit(q.Circuit); ok {
		extra = ExtraPoints(c, q.Typed)
	}
	m, err := New(r, copper, q.Circuit, extra)
	if err != nil {
		return false, err
	}
	readings, err := m.Readings(q.Typed, q.Own)
	if err != nil {
		return false, err
	}
	if len(readings) == 0 {
		return false, fmt.Errorf("there is no reading of %s\nhint: give some as test/point=value, such as %s=0.40, or --answers or --journal with a file that has them", q.Circuit, m.ids()[0])
	}
	result, err := m.Rank(readings)
	if err != nil {
		return false, err
	}
	if result.Fits {
		result.Next = m.Next(result, readings)
	}
	result.Unseen = m.Apart()
	s := &Speaker{cat, m}
	if q.JSON {
		return result.Fits, s.writeJSON(w, readings, result)
	}
	s.write(w, readings, result, extra)
	return result.Fits, nil
}

// mostAnswers are printed; the JSON has all.
const mostAnswers = 5

func (s *Speaker) write(w io.Writer, readings []Reading, r *Result, extra []string) {
	fmt.Fprintln(w, s.text("heading", map[string]string{"rig": s.Model.Rig.Title, "circuit": s.Model.Circuit.ID}))
	fmt.Fprintln(w, s.text("count", map[string]string{"readings": strconv.Itoa(len(readings)), "count": strconv.Itoa(r.Count)}))
	for _, p := range extra {
		fmt.Fprintln(w, s.text("extra-point", map[string]string{"point": p}))
	}
	fmt.Fprintln(w)
	if !r.Fits {
		e := r.worst
		fmt.Fprintln(w, s.text("none-fits", map[string]string{"id": e.Measure.ID, "read": s.Value(e.Measure, e.Read), "predicted": s.Value(e.Measure, e.Predicted)}))
		fmt.Fprintln(w)
	}
	n := r.asLikely()
	shown := 0
	var untested []Cause
	for i := range r.Answers {
		switch a := &r.Answers[i]; {
		case a.Untested && i > 0:
			untested = append(untested, a.Causes[0])
		case shown < mostAnswers:
			shown++
			fmt.Fprintf(w, "%d. %s\n", shown, s.Explain(a, i == 0, n))
		}
	}
	if len(untested) > 0 {
		fmt.Fprintf(w, "\n%s\n", s.text("untested", map[string]string{"kinds": s.names(untested)}))
	}
	if r.Fits {
		fmt.Fprintf(w, "\n%s\n", s.Next(r.Next))
	}
	if len(r.Unseen) > 0 {
		var kinds []Cause
		for _, k := range r.Unseen {
			kinds = append(kinds, Cause{Kind: k})
		}
		fmt.Fprintf(w, "\n%s\n", s.text("unseen", map[string]string{"kinds": s.names(kinds)}))
	}
	if s.Model.Circuit.Shape == rig.Ring && len(extra) == 0 {
		fmt.Fprintln(w, s.text("unlisted", nil))
	}
}

// asLikely is how many answers the readings cannot set apart from the first.
func (r *Result) asLikely() int {
	n := 0
	for _, a := range r.Answers {
		if a.Share >= r.Answers[0].Share/4 {
			n += len(a.Causes)
		}
	}
	return n
}

type jsonCause struct {
	Kind    string   `json:"kind"`
	Where   []string `json:"where"`
	Between string   `json:"between"`
	Size    *float64 `json:"size"`
	Unit    string   `json:"unit"`
}

type jsonEvidence struct {
	ID        string   `json:"id"`
	Read      *float64 `json:"read"`
	Predicted *float64 `json:"predicted"`
	Sound     *float64 `json:"sound"`
	Unit      string   `json:"unit"`
}

type jsonAnswer struct {
	jsonCause
	And            *jsonCause     `json:"and"`
	Share          float64        `json:"share"`
	Sure           Sure           `json:"sure"`
	Fits           bool           `json:"fits"`
	Innocent       bool           `json:"innocent"`
	Untested       bool           `json:"untested"`
	NeverEnergise  bool           `json:"never_energise"`
	LeadsNotNulled *float64       `json:"leads_not_nulled_ohm"`
	Evidence       []jsonEvidence `json:"evidence"`
	Text           string         `json:"text"`
}

type jsonOutcome struct {
	Low, High *float64
	Share     float64
	Kinds     []string
}

type jsonNext struct {
	ID       string        `json:"id"`
	Live     bool          `json:"live"`
	Before   int           `json:"before"`
	After    float64       `json:"after"`
	GainBits float64       `json:"gain_bits"`
	Outcomes []jsonOutcome `json:"outcomes"`
	Text     string        `json:"text"`
}

// MarshalJSON keeps the keys small.
func (o jsonOutcome) MarshalJSON() ([]byte, error) {
	return json.Marshal(map[string]any{"low": o.Low, "high": o.High, "share": o.Share, "kinds": o.Kinds})
}

func (s *Speaker) writeJSON(w io.Writer, readings []Reading, r *Result) error {
	type jsonReading struct {
		ID    string        `json:"id"`
		Raw   string        `json:"raw"`
		Value *float64      `json:"value"`
		Unit  string        `json:"unit"`
		Mark  quantity.Mark `json:"mark"`
	}
	out := struct {
		Rig        string        `json:"rig"`
		Circuit    string        `json:"circuit"`
		Fits       bool          `json:"fits"`
		Count      int           `json:"possibilities"`
		Readings   []jsonReading `json:"readings"`
		Candidates []jsonAnswer  `json:"candidates"`
		Unseen     []string      `json:"not_shown_by_readings"`
		Next       *jsonNext     `json:"next"`
	}{Rig: s.Model.Rig.ID, Circuit: s.Model.Circuit.ID, Fits: r.Fits, Count: r.Count, Readings: []jsonReading{}, Candidates: []jsonAnswer{}, Unseen: append([]string{}, r.Unseen...)}
	for _, x := range readings {
		j := jsonReading{ID: x.ID, Raw: x.Read.Raw, Unit: x.Read.Unit.String(), Mark: x.Read.Mark}
		if x.Read.Mark == quantity.Number {
			j.Value = &x.Read.Value
		}
		out.Readings = append(out.Readings, j)
	}
	n := r.asLikely()
	for i := range r.Answers {
		a := &r.Answers[i]
		j := jsonAnswer{jsonCause: causeJSON(a.Causes), Share: rounded(a.Share), Sure: a.Sure, Fits: a.Fits, Innocent: a.innocent, Untested: a.Untested, Evidence: []jsonEvidence{}, Text: s.Explain(a, i == 0, n)}
		j.NeverEnergise = neverEnergise[a.Causes[0].Kind] || a.Second != nil && neverEnergise[a.Second.Kind]
		if a.Second != nil {
			and := causeJSON([]Cause{*a.Second})
			j.And = &and
		}
		if a.LeadsOhm != nil {
			v := rounded(*a.LeadsOhm)
			j.LeadsNotNulled = &v
		}
		for _, e := range a.Evidence {
			j.Evidence = append(j.Evidence, jsonEvidence{e.Measure.ID, finite(e.Read), finite(e.Predicted), finite(e.Sound), e.Measure.Unit.String()})
		}
		out.Candidates = append(out.Candidates, j)
	}
	if x := r.Next; x != nil {
		out.Next = &jsonNext{ID: x.Measure.ID, Live: x.Measure.Live, Before: x.Before, After: rounded(x.After), GainBits: rounded(x.GainBits), Text: s.Next(x)}
		for _, k := range x.Splits {
			o := jsonOutcome{Low: finite(k.Low), High: finite(k.High), Share: rounded(k.Share)}
			for _, c := range k.Causes {
				if len(o.Kinds) == 0 || o.Kinds[len(o.Kinds)-1] != c.Kind {
					o.Kinds = append(o.Kinds, c.Kind)
				}
			}
			out.Next.Outcomes = append(out.Next.Outcomes, o)
		}
	}
	data, err := json.Marshal(out)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "%s\n", data)
	return err
}

func causeJSON(all []Cause) jsonCause {
	j := jsonCause{Kind: all[0].Kind, Where: []string{}, Between: all[0].Pair, Unit: all[0].Unit}
	for _, c := range all {
		if p := c.place(); p != "" {
			j.Where = append(j.Where, p)
		}
	}
	if all[0].Unit != "" {
		v := rounded(all[0].Size)
		j.Size = &v
	}
	return j
}

func finite(v float64) *float64 {
	if nothing(v) {
		return nil
	}
	v = rounded(v)
	return &v
}

// rounded keeps four significant digits: estimates, and the same on every machine.
func rounded(v float64) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64)
	if math.Abs(r) < 1e-9 {
		return 0
	}
	return r
}

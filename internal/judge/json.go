package judge

import (
	"encoding/json"
	"io"

	"wanderlead/internal/quantity"
)

// Texts turns an id and its values into a sentence.
type Texts interface {
	Text(id string, params map[string]string) string
}

type jsonVerdict struct {
	Test     string         `json:"test"`
	Verdict  Outcome        `json:"verdict"`
	Edition  string         `json:"edition"`
	Value    *float64       `json:"value"`
	Unit     string         `json:"unit"`
	Readings []jsonReading  `json:"readings"`
	Expected []jsonExpected `json:"expected"`
	Limits   []jsonLimit    `json:"limits"`
	Margin   *float64       `json:"margin_percent"`
	Reasons  []jsonReason   `json:"reasons"`
	Next     []jsonReason   `json:"next"`
}

type jsonReading struct {
	Name  string   `json:"name"`
	Raw   string   `json:"raw"`
	Value *float64 `json:"value"`
	Unit  string   `json:"unit"`
	Mark  string   `json:"mark"`
}

type jsonExpected struct {
	Name    string  `json:"name"`
	Value   float64 `json:"value"`
	Unit    string  `json:"unit"`
	Formula string  `json:"formula"`
}

type jsonLimit struct {
	Name    string  `json:"name"`
	Value   float64 `json:"value"`
	Unit    string  `json:"unit"`
	Bound   string  `json:"bound"`
	Edition string  `json:"edition"`
	Source  string  `json:"source"`
	Status  string  `json:"status"`
}

type jsonReason struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// number is the value of a plain number; over range, no trip and nothing have none.
func number(r quantity.Reading) *float64 {
	if !r.IsNumber() {
		return nil
	}
	v := quantity.Tidy(r.Value)
	return &v
}

// mark is what the contract knows: "", ">" and "no-trip".
func mark(r quantity.Reading) string {
	if r.Mark == quantity.Nothing {
		return ""
	}
	return string(r.Mark)
}

// WriteJSON writes the verdict as one JSON object and a line end. Lists are
// never null; a value that is no number is.
func (v Verdict) WriteJSON(w io.Writer, texts Texts) error {
	out := jsonVerdict{Test: v.Test, Verdict: v.Verdict, Edition: v.Edition, Value: number(v.Value), Unit: v.Unit.String(),
		Readings: []jsonReading{}, Expected: []jsonExpected{}, Limits: []jsonLimit{}, Margin: v.MarginPercent,
		Reasons: reasonsJSON(v.Reasons, texts), Next: reasonsJSON(v.Next, texts)}
	for _, n := range v.Readings {
		out.Readings = append(out.Readings, jsonReading{n.Name, n.Reading.Raw, number(n.Reading), n.Reading.Unit.String(), mark(n.Reading)})
	}
	for _, e := range v.Expected {
		out.Expected = append(out.Expected, jsonExpected{e.Name, quantity.Tidy(e.Value), e.Unit.String(), e.Formula})
	}
	for _, l := range v.Limits {
		out.Limits = append(out.Limits, jsonLimit{l.Name, quantity.Tidy(l.Value), l.Unit.String(), l.Bound, l.Edition, l.Source, string(l.Status)})
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false) // ">299" stays readable
	return enc.Encode(out)
}

func reasonsJSON(rs []Reason, texts Texts) []jsonReason {
	out := []jsonReason{}
	for _, r := range rs {
		out = append(out, jsonReason{r.ID, texts.Text(r.ID, r.Params)})
	}
	return out
}

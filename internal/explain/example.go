package explain

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/edition"
	"wanderlead/internal/faults"
	"wanderlead/internal/judge"
	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
	"wanderlead/internal/words"
)

// Worked is the entry with its example worked out: by the judge in the edition in use, or by the network on a rig.
func (e *Entry) Worked(pack *edition.Pack, r *rig.Rig, cat *words.Catalogue) (Entry, error) {
	out := *e
	var err error
	switch {
	case e.judge != "":
		out.Example, out.Source, err = e.judged(pack, cat)
	case e.Kind == "fault" && e.Example == "":
		out.Example, err = e.measured(pack, r)
	}
	if out.Example == "" {
		out.Example = e.What
	}
	return out, err
}

// judged is the verdict on the example, for a limit the limit itself.
func (e *Entry) judged(pack *edition.Pack, cat *words.Catalogue) (example, source string, err error) {
	args := strings.Fields(e.judge)
	q, err := judge.ParseArgs(args[0], args[1:])
	if err != nil {
		return "", "", err
	}
	v, err := judge.Judge(pack, q)
	if err != nil {
		return "", "", err
	}
	for _, l := range v.Limits {
		if l.Name == e.ID {
			return fmt.Sprintf("%s, as in: wanderlead judge %s", quantity.Format(l.Value, l.Unit), e.judge), fmt.Sprintf("%s (%s, %s)", l.Source, l.Edition, l.Status), nil
		}
	}
	if e.Kind == "limit" {
		return "", "", fmt.Errorf("the limit %s does not bear on %q", e.ID, e.judge)
	}
	var why []string
	for _, r := range v.Reasons {
		why = append(why, cat.Text(r.ID, r.Params))
	}
	return fmt.Sprintf("wanderlead judge %s says %s: %s", e.judge, v.Verdict, strings.Join(why, " ")), e.Source, nil
}

// most is how many readings of a fault's example are listed.
const most = 4

// measured lists the readings that the fault changes on a rig, each with what it would be.
func (e *Entry) measured(pack *edition.Pack, r *rig.Rig) (string, error) {
	id := e.circuit
	if _, ok := r.Circuit(id); !ok {
		id = r.Circuits[0].ID
	}
	copper := signature.Copper(pack)
	sound, err := signature.Compute(r, copper, id, nil, false, 1)
	if err != nil {
		return "", err
	}
	faulty, err := signature.Compute(r, copper, id, []string{e.ID}, false, 1)
	if err != nil {
		return "", err
	}
	was, now := strings.Split(sound.Text(), "\n"), strings.Split(faulty.Text(), "\n")
	var out []string
	for _, line := range now {
		name, value := cut(line)
		i := slices.IndexFunc(was, func(l string) bool { n, _ := cut(l); return n == name })
		if name == "" || i < 0 || was[i] == line || len(out) == most {
			continue
		}
		if _, before := cut(was[i]); before != value && clearly(before, value) {
			out = append(out, fmt.Sprintf("%s %s (sound: %s)", name, twoPlaces(value), twoPlaces(before)))
		}
	}
	if len(out) == 0 {
		out = e.byReading(pack, r, id)
	}
	if len(out) == 0 {
		return "On circuit " + id + " of the rig " + r.ID + " no reading of the usual tests changes.", nil
	}
	return "On circuit " + id + " of the rig " + r.ID + ": " + strings.Join(out, "; ") + ".", nil
}

func cut(line string) (name, value string) {
	i := strings.Index(line, "  ")
	if i < 0 {
		return "", ""
	}
	return line[:i], strings.TrimSpace(line[i:])
}

// twoPlaces prints small resistances to the hundredth, as an instrument shows them.
func twoPlaces(s string) string {
	number, unit, _ := strings.Cut(s, " ")
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || v >= 10 || unit != quantity.Ohm.String() && unit != quantity.Megohm.String() {
		return s
	}
	return fmt.Sprintf("%.2f %s", v, unit)
}

// clearly reports whether two readings differ by more than an instrument scatters.
func clearly(a, b string) bool {
	var x, y float64
	if _, err := fmt.Sscan(a, &x); err != nil {
		return true
	}
	if _, err := fmt.Sscan(b, &y); err != nil {
		return true
	}
	return max(x, y)-min(x, y) > 0.02+float64(0.05*max(x, y))
}

// byReading lists what the fault changes among all readings that a rig is commissioned with: bars and bonds too.
func (e *Entry) byReading(pack *edition.Pack, r *rig.Rig, circuit string) []string {
	p, err := faults.Lookup(r, circuit, e.ID)
	if err != nil {
		return nil
	}
	sound, err := faults.Build(r, wiring.Usual(signature.Copper(pack)))
	if err != nil {
		return nil
	}
	faulty, err := faults.Build(r, wiring.Usual(signature.Copper(pack)), p)
	if err != nil {
		return nil
	}
	o := signature.Options{Instrument: meter.Instrument{Seed: 1}, Leads: meter.Nulled(0.08)}
	var out []string
	for _, id := range r.Readings() {
		was, err := signature.Reading(sound, id, 0, o)
		now, err2 := signature.Reading(faulty, id, 0, o)
		if err == nil && err2 == nil && was.Text != now.Text && was.Text != "" && now.Text != "" && clearly(was.Text, now.Text) && len(out) < most {
			out = append(out, fmt.Sprintf("%s %s %s (sound: %s)", id.ID, now.Text, now.Unit, was.Text))
		}
	}
	return out
}

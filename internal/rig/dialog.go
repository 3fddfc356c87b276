package rig

import (
	"fmt"
	"strconv"
	"strings"

	"wanderlead/internal/quantity"
)

// Texts gives the wording of a question by its id; {name} in it is replaced from params.
type Texts interface {
	Text(id string, params map[string]string) string
}

// QuestionKind is how a question is answered.
type QuestionKind string

// The kinds of question: one of its options, or a line of text.
const (
	Choice QuestionKind = "choice"
	Line   QuestionKind = "line"
)

// Option is one possible answer; Value is what is answered, Label what is shown.
type Option struct{ Value, Label string }

// LeaveOut is the answer to an optional question that leaves the thing out; an empty answer means the same.
const LeaveOut = "-"

// Question is one thing asked about a rig.
type Question struct {
	ID        string // path in the rig: "circuits/3/points/2/label"
	Ask, Help string
	Kind      QuestionKind
	Options   []Option
	Optional  bool // LeaveOut is an answer
	Complaint string
	Hint      string // with Complaint: what was wrong with the answer given before, and what would be right

	index int // place among the answers
}

// Answer is the text given to the question of that id.
type Answer struct{ ID, Text string }

// Refusal says why an answer does not fit its question.
type Refusal struct{ Problem, Hint string }

func (e *Refusal) Error() string {
	if e.Hint == "" {
		return e.Problem
	}
	return e.Problem + "\nhint: " + e.Hint
}

// dialog walks the records of a rig and asks for each field. It takes answers from a list until it ends there, or, when
// it mirrors a rig, makes them from it.
type dialog struct {
	rig     *Rig
	texts   Texts
	answers []Answer
	next    int
	mirror  bool
	made    []Answer
	pending *Question
	refusal *Refusal
	places  map[any]int       // pointer into the rig -> index of the answer that filled it
	names   map[string]string // what the records around are called: {circuit}, {point}
}

func newDialog(r *Rig, texts Texts, answers []Answer) *dialog {
	return &dialog{rig: r, texts: texts, answers: answers, places: map[any]int{}, names: map[string]string{}}
}

// ask puts one question. It is false when there is no fitting answer: the walk stops there.
func (d *dialog) ask(q Question, word string, from func() string, take func(string) (problem, hint string)) bool {
	if d.mirror {
		text := from()
		take(text)
		d.made = append(d.made, Answer{q.ID, text})
		return true
	}
	if d.next < len(d.answers) && d.answers[d.next].ID == q.ID {
		text := strings.TrimSpace(d.answers[d.next].Text)
		if text == "" && q.Optional {
			text = LeaveOut
		}
		problem, hint := take(text)
		if problem == "" {
			d.next++
			return true
		}
		d.refusal = &Refusal{problem, hint}
	}
	q.index = d.next
	q.Ask = d.texts.Text("describe."+word+".ask", d.names)
	q.Help = d.texts.Text("describe."+word+".help", d.names)
	for i, o := range q.Options {
		if o.Label != "" {
			q.Options[i].Label = d.texts.Text(o.Label, nil)
		} else {
			q.Options[i].Label = o.Value
		}
	}
	if q.Kind == Choice && q.Optional {
		q.Options = append(q.Options, Option{LeaveOut, d.texts.Text("describe.leave-out", nil)})
	}
	d.pending = &q
	return false
}

// record asks for every field of p; s is the same record of the rig being mirrored, if any.
func (d *dialog) record(rec *record, p, s any, path string) bool {
	if _, known := d.places[p]; !known {
		d.places[p] = d.next
	}
	for _, f := range rec.fields {
		if f.applies(d.rig, p) && !d.field(rec, f, p, s, path+f.key) {
			return false
		}
	}
	if rec.finish != nil {
		rec.finish(d.rig, p)
	}
	return true
}

func (d *dialog) field(rec *record, f *field, p, s any, path string) bool {
	word := rec.name + "." + f.key
	at := f.at(p)
	var src any
	if s != nil {
		src = f.at(s)
	}
	switch f.kind {
	case texts:
		d.places[at] = d.next
		return d.list(f, p, s, path, word)
	case group:
		return d.record(f.rec, at, src, path+"/")
	case maybe:
		return d.maybe(f, at.(optional), src, path, word)
	case many:
		return d.many(f, at.(list), src, path, word)
	}
	d.places[at] = d.next
	if f.kind == yesNo {
		return d.yesNo(path, word, func() string { return f.text(s) }, func(t string) (string, string) { return f.setText(d.rig, p, t) })
	}
	q := Question{ID: path, Kind: Line, Optional: !f.required, Options: d.options(f, p, word)}
	if q.Options != nil {
		q.Kind = Choice
	}
	ok := d.ask(q, word, func() string {
		if !f.required && !f.given(s) {
			return LeaveOut
		}
		return f.text(s)
	}, func(text string) (string, string) {
		if text == LeaveOut && !f.required {
			return "", ""
		}
		if problem, hint := f.setText(d.rig, p, text); problem != "" {
			return problem, hint
		}
		return d.inPlace(f, at)
	})
	if ok && (f.key == "id" || f.key == "label" || f.key == "to") {
		d.names[rec.name] = f.text(p)
	}
	return ok
}

// inPlace refuses a name at once when it is already taken: what is wrong with the rest may only be unfinished.
func (d *dialog) inPlace(f *field, at any) (problem, hint string) {
	if d.mirror || f.kind > idField || d.next != len(d.answers)-1 {
		return "", ""
	}
	check(d.rig, func(about any, h, format string, args ...any) {
		if about == at && problem == "" {
			problem, hint = fmt.Sprintf(format, args...), h
		}
	})
	return problem, hint
}

// options are the words of a closed list. Those that the model fixes have labels; names given by the trainer are their
// own labels.
func (d *dialog) options(f *field, p any, word string) []Option {
	if f.words == nil {
		return nil
	}
	options := []Option{}
	for _, w := range f.words(d.rig, p) {
		label := ""
		if f.labelled {
			label = "describe." + word + ".is." + w
		}
		options = append(options, Option{w, label})
	}
	return options
}

func (d *dialog) yesNo(path, word string, from func() string, take func(string) (string, string)) bool {
	q := Question{ID: path, Kind: Choice, Options: []Option{{"yes", "describe.yes"}, {"no", "describe.no"}}}
	return d.ask(q, word, from, take)
}

func (d *dialog) maybe(f *field, o optional, src any, path, word string) bool {
	var inner any
	if src != nil {
		inner = src.(optional).Get()
	}
	present := false
	ok := d.yesNo(path, word, func() string {
		if inner != nil {
			return "yes"
		}
		return "no"
	}, func(text string) (string, string) {
		present = text == "yes"
		if text != "yes" && text != "no" {
			return fmt.Sprintf("%q is neither yes nor no", text), ""
		}
		return "", ""
	})
	if !ok || !present {
		return ok
	}
	if ref, isReference := o.Make().(*Reference); isReference {
		from, _ := inner.(*Reference)
		return d.reference(ref, from, path+"/")
	}
	return d.record(f.rec, o.Get(), inner, path+"/")
}

func (d *dialog) many(f *field, l list, src any, path, word string) bool {
	var from list
	if src != nil {
		from = src.(list)
	}
	count := 0
	ok := d.ask(Question{ID: path, Kind: Line}, word, func() string { return strconv.Itoa(from.Len()) }, func(text string) (string, string) {
		n, err := strconv.Atoi(text)
		if err != nil || n < f.least || n > maxItems {
			return fmt.Sprintf("%q is not a count", text), fmt.Sprintf("write how many there are, from %d to %d", f.least, maxItems)
		}
		count = n
		return "", ""
	})
	if !ok {
		return false
	}
	l.Resize(count)
	for i := range count {
		d.names["n"], d.names["of"] = strconv.Itoa(i+1), strconv.Itoa(count)
		var item any
		if from != nil {
			item = from.Item(i)
		}
		if !d.record(f.rec, l.Item(i), item, fmt.Sprintf("%s/%d/", path, i+1)) {
			return false
		}
	}
	return true
}

// list asks for one text after the other until one is left out.
func (d *dialog) list(f *field, p, s any, path, word string) bool {
	to := f.at(p).(*[]string)
	for i := 0; ; i++ {
		more := true
		q := Question{ID: fmt.Sprintf("%s/%d", path, i+1), Kind: Line, Optional: i >= f.least, Options: d.options(f, p, word)}
		if q.Options != nil {
			q.Kind = Choice
		}
		d.names["n"] = strconv.Itoa(i + 1)
		ok := d.ask(q, word, func() string {
			if items := *f.at(s).(*[]string); i < len(items) {
				return items[i]
			}
			return LeaveOut
		}, func(text string) (string, string) {
			if text == LeaveOut && i >= f.least {
				more = false
				return "", ""
			}
			problem, hint := checkItem(d.rig, f, p, *to, text)
			if problem == "" {
				*to = append(*to, text)
			}
			return problem, hint
		})
		if !ok || !more {
			return ok
		}
	}
}

// reference asks for instrument, date, and three repeats of each reading that this rig can have.
func (d *dialog) reference(to, from *Reference, path string) bool {
	d.places[to] = d.next
	var source any
	if from != nil {
		source = from
	}
	for _, f := range referenceRecord.fields[:2] {
		if !d.field(referenceRecord, f, to, source, path+f.key) {
			return false
		}
	}
	stored := map[string][]string{}
	if from != nil {
		for _, ref := range from.Readings {
			stored[ref.At] = ref.Values
		}
	}
	for _, id := range d.rig.Readings() {
		var values []string
		d.names["reading"], d.names["unit"] = id.ID, id.Unit.String()
		if delete(d.names, "label"); id.Label != "" {
			d.names["label"] = id.Label
		}
		ok := d.ask(Question{ID: path + id.ID, Kind: Line, Optional: true}, "reading.values", func() string {
			if len(stored[id.ID]) == 0 {
				return LeaveOut
			}
			return strings.Join(stored[id.ID], "; ")
		}, func(text string) (problem, hint string) {
			values, problem, hint = takeRepeats(text, id.Unit)
			return problem, hint
		})
		if !ok {
			return false
		}
		if values != nil {
			to.Readings = append(to.Readings, RefReading{At: id.ID, Values: values})
		}
	}
	return true
}

// takeRepeats reads the repeats of one reading from a line.
func takeRepeats(text string, unit quantity.Unit) (values []string, problem, hint string) {
	if text == LeaveOut {
		return nil, "", ""
	}
	values, err := quantity.SplitRow(text)
	if err == nil {
		for _, raw := range values {
			if _, err = quantity.Parse(raw, unit); err != nil {
				break
			}
		}
	}
	if err != nil {
		return nil, err.Error(), hintOf(err)
	}
	if len(values) != Repeats {
		return nil, fmt.Sprintf("found %d readings, should be %d", len(values), Repeats), "take the reading three times and type all three, such as 0.40 0.41 0.40"
	}
	return values, "", ""
}

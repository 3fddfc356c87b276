// Package exam gathers what an exam stands on: the paper with its rig, sequence,
// edition and tolerances, from a library or from a record's own header.
package exam

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"strings"
	"testing/fstest"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
)

// Exam is a paper with all it stands on.
type Exam struct {
	truth.Content
	Kit *record.Kit
	lib *content.Library
}

// marking are the files of a library that marking stands on, besides the paper's own.
var marking = []string{"marking/tolerances.yaml"}

// Load gathers a paper by name. The error says what of it does not load.
func Load(lib *content.Library, name string) (*Exam, error) {
	p, err := paper.Load(lib, name)
	if err != nil {
		return nil, err
	}
	kit, err := record.Gather(lib, p.Sequence, p.Rig, p.Edition, p.Incoming)
	if err != nil {
		return nil, fmt.Errorf("the paper %s: %w", name, err)
	}
	p.SettleFaults(Listed(kit.Rig))
	return &Exam{truth.Content{Paper: p, Program: kit.Program, Pack: kit.Pack}, kit, lib}, nil
}

// Listed finds a fault of a rig's list, for [paper.Paper.SettleFaults].
func Listed(r *rig.Rig) func(string) (string, string, bool) {
	return func(id string) (string, string, bool) {
		for _, f := range r.Faults {
			if f.ID == id {
				return f.Kind, f.Circuit, true
			}
		}
		return "", "", false
	}
}

// Header is the first line of a candidate's record, with the paper and what marking
// stands on beside the content of the session.
func (e *Exam) Header() (journal.Header, error) {
	h := e.Kit.Header()
	h.Mode = journal.ModeAssess
	h.Included = append(h.Included, journal.Content{Name: "papers/" + e.Paper.ID + ".yaml", Text: e.Paper.Text})
	for _, name := range marking {
		data, err := e.lib.Read(name)
		if err != nil {
			return h, err
		}
		h.Included = append(h.Included, journal.Content{Name: name, Text: string(data)})
	}
	if h.Fields == nil {
		h.Fields = map[string]string{}
	}
	h.Fields["paper"] = e.Paper.ID
	return h, nil
}

// IsExam reports whether a record is an exam's.
func IsExam(h *journal.Header) bool { return h.Mode == journal.ModeAssess && h.Fields["paper"] != "" }

// FromHeader gathers the exam that a record holds the content of; its texts come in the
// language that a library given speaks.
func FromHeader(h *journal.Header, like ...*content.Library) (*Exam, error) {
	if !IsExam(h) {
		return nil, fmt.Errorf("the record is not one of an exam")
	}
	files := fstest.MapFS{}
	put := func(c journal.Content) { files[c.Name] = &fstest.MapFile{Data: []byte(c.Text)} }
	for _, c := range append([]journal.Content{h.Sequence, h.Rig, h.Pack}, h.Included...) {
		put(c)
	}
	lib, err := content.NewLibrary(fs.FS(files), "")
	if err != nil {
		return nil, err
	}
	for _, l := range like {
		lib.SpeakLike(l)
	}
	p, err := paper.Load(lib, h.Fields["paper"])
	if err != nil {
		return nil, fmt.Errorf("the paper held in the record does not load: %w", err)
	}
	kit, err := record.FromHeader(h, like...)
	if err != nil {
		return nil, fmt.Errorf("the content held in the record does not load: %w", err)
	}
	p.SettleFaults(Listed(kit.Rig))
	return &Exam{truth.Content{Paper: p, Program: kit.Program, Pack: kit.Pack}, kit, lib}, nil
}

// Mark of the content a header holds: headers with the same mark hold the same exam.
func ContentMark(h *journal.Header) string {
	d := sha256.New()
	for _, c := range append([]journal.Content{h.Sequence, h.Rig, h.Pack}, h.Included...) {
		fmt.Fprintf(d, "%s\x00%d\x00%s\x00", c.Name, len(c.Text), c.Text)
	}
	fmt.Fprintf(d, "%s\x00%s\x00%s", h.Fields["paper"], h.Fields["incoming"], h.Edition)
	return hex.EncodeToString(d.Sum(nil))
}

// Setup is the sitting that a header stands for.
func (e *Exam) Setup(h *journal.Header) sitting.Setup {
	extra := 0
	_, _ = fmt.Sscan(strings.TrimSpace(h.Fields["extra_minutes"]), &extra)
	return sitting.Setup{Content: e.Content, Setting: paper.Setting(h.Fields["setting"]), ExtraMinutes: extra}
}

// Replay brings a sitting to where its record ends. It also gives what an interruption kept from being written of the latest
// event.
func (e *Exam) Replay(lines []journal.Line) (*sitting.Sitting, []journal.Given, error) {
	t, again, err := e.replay(lines)
	return t, journal.CutOff(lines, again), err
}

// Differences replays an exam's record and lists where the same events come to
// something else than the record says.
func Differences(lines []journal.Line) ([]journal.Difference, error) {
	e, err := FromHeader(lines[0].Header)
	if err != nil {
		return nil, err
	}
	_, again, err := e.replay(lines)
	if err != nil {
		return nil, err
	}
	return journal.Compare(lines, again), nil
}

func (e *Exam) replay(lines []journal.Line) (*sitting.Sitting, []journal.Recomputed, error) {
	if len(lines) == 0 || lines[0].Header == nil {
		return nil, nil, fmt.Errorf("the record has no header line")
	}
	t := sitting.New(e.Setup(lines[0].Header))
	if t.Err() != nil {
		return nil, nil, t.Err()
	}
	var again []journal.Recomputed
	for _, l := range lines[1:] {
		if l.Said == nil {
			continue
		}
		next, fb, err := t.Apply(l.Said.Event)
		if err != nil {
			return nil, nil, fmt.Errorf("line %d: event %d does not fit the exam: %w", l.Number, l.Said.Seq, err)
		}
		t = next
		again = append(again, journal.Recomputed{Seq: l.Said.Seq, Given: fb.Given(e.Kit.Pack.Name)})
	}
	return t, again, nil
}

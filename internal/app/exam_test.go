package app

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/play"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/cohort"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
)

// stream is a random source that repeats from test to test.
type stream struct{ n uint64 }

func (s *stream) Read(p []byte) (int, error) {
	for i := range p {
		var b [8]byte
		binary.BigEndian.PutUint64(b[:], s.n)
		sum := sha256.Sum256(b[:])
		p[i] = sum[0]
		s.n++
	}
	return len(p), nil
}

// bay is a place to run exam commands in: its own folder, clock and random source.
type bay struct {
	t       testing.TB
	dir     string
	now     time.Time
	tick    time.Duration
	random  *stream
	version string
}

func newBay(t testing.TB) *bay {
	return &bay{t: t, dir: t.TempDir(), now: time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC), tick: 3 * time.Second, random: &stream{}, version: "1.0.0"}
}

func (b *bay) path(name string) string { return filepath.Join(b.dir, name) }

func (b *bay) write(name, text string) string {
	b.t.Helper()
	if err := os.WriteFile(b.path(name), []byte(text), 0o600); err != nil {
		b.t.Fatal(err)
	}
	return b.path(name)
}

func (b *bay) read(name string) []byte {
	b.t.Helper()
	data, err := os.ReadFile(b.path(name))
	if err != nil {
		b.t.Fatal(err)
	}
	return data
}

// run works one command in process.
func (b *bay) run(args ...string) (code int, stdout, stderr string) {
	b.t.Helper()
	open := func(name string) *os.File {
		f, err := os.OpenFile(filepath.Join(b.t.TempDir(), name), os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o600)
		if err != nil {
			b.t.Fatal(err)
		}
		return f
	}
	in, out, errs := open("in"), open("out"), open("err")
	env := map[string]string{"HOME": b.dir, "XDG_STATE_HOME": b.dir, "XDG_CACHE_HOME": b.dir}
	code = Main(args, Sys{In: in, Out: out, Err: errs, Getenv: func(k string) string { return env[k] },
		Now: func() time.Time { b.now = b.now.Add(b.tick); return b.now }, Random: b.random, Version: b.version})
	read := func(f *os.File) string {
		defer f.Close()
		data, err := os.ReadFile(f.Name())
		if err != nil {
			b.t.Fatal(err)
		}
		return string(data)
	}
	_ = in.Close()
	return code, read(out), read(errs)
}

// must is run for a command that has to end well.
func (b *bay) must(args ...string) string {
	b.t.Helper()
	code, out, errs := b.run(args...)
	if code != ExitDone {
		b.t.Fatalf("%v: exit %d\n%s%s", args, code, out, errs)
	}
	return out
}

// dayCandidate is one line of testdata/exam/day.yaml.
type dayCandidate struct {
	id, setting, decide string
	extra, seconds      int
	killedAfter         int
	say                 map[string][]string
	observe             map[string]string
	override            *mark.Override
}

type day struct {
	passphrase, code, paper string
	candidates              []dayCandidate
}

func readDay(t *testing.T) day {
	t.Helper()
	data, err := os.ReadFile("../../testdata/exam/day.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r := content.NewReader("day.yaml", data)
	m := r.Root().Map("day", "passphrase", "code", "paper", "candidates")
	d := day{passphrase: m.Name("passphrase"), code: m.Name("code"), paper: m.Name("paper")}
	for _, v := range m.List("candidates") {
		cm := v.Map("candidate", "id", "setting", "say", "observe", "decide", "extra", "seconds", "killed_after", "override", "comment")
		c := dayCandidate{id: cm.Name("id"), setting: cm.Name("setting"), decide: cm.OptName("decide", ""), extra: cm.OptInt("extra", 0),
			seconds: cm.OptInt("seconds", 0), killedAfter: cm.OptInt("killed_after", 0), say: map[string][]string{}, observe: map[string]string{}}
		if cm.Has("say") {
			sm := cm.Opt("say").OpenMap("say")
			for _, k := range sm.Keys() {
				c.say[k] = sm.Strs(k)
			}
		}
		if cm.Has("observe") {
			om := cm.Opt("observe").OpenMap("observe")
			for _, k := range om.Keys() {
				c.observe[k] = om.Name(k)
			}
		}
		if cm.Has("override") {
			om := cm.Map("override", "task", "part", "to", "reason")
			c.override = &mark.Override{Task: om.Name("task"), Part: paper.Part(om.Name("part")), To: om.Int("to"), Reason: om.Name("reason")}
		}
		d.candidates = append(d.candidates, c)
	}
	if err := r.Err(); err != nil {
		t.Fatal(err)
	}
	return d
}

// key opens the sealed part of a record.
func (b *bay) key(record, passphrase string) *seal.Key {
	b.t.Helper()
	k, err := seal.Open(b.read(strings.TrimSuffix(record, ".jsonl")+".key.age"), passphrase)
	if err != nil {
		b.t.Fatal(err)
	}
	return k
}

// answers plays a sitting and writes what was said as answers files: one, or two where
// the first is cut off.
func (b *bay) answers(record string, c dayCandidate, d day) []string {
	b.t.Helper()
	lines, err := journal.ReadFile(b.path(record))
	if err != nil {
		b.t.Fatal(err)
	}
	e, err := exam.FromHeader(lines[0].Header)
	if err != nil {
		b.t.Fatal(err)
	}
	return b.played(e, lines[0].Header, b.key(record, d.passphrase), c, d)
}

// answersWith is answers with another key than the candidate's.
func (b *bay) answersWith(e *exam.Exam, h *journal.Header, k *seal.Key, c dayCandidate, d day) string {
	b.t.Helper()
	return b.played(e, h, k, c, d)[0]
}

func (b *bay) played(e *exam.Exam, h *journal.Header, k *seal.Key, c dayCandidate, d day) []string {
	b.t.Helper()
	t := sitting.New(e.Setup(h))
	pc := play.Candidate{Key: k, Say: c.say, Decide: c.decide, Code: d.code, Observe: c.observe, Seconds: c.seconds, Most: c.killedAfter}
	var files []string
	for {
		var text strings.Builder
		text.WriteString("answers:\n")
		end, err := play.Sit(t, pc, func(ev journal.Event, _ sitting.Feedback) { writeAnswer(&text, ev, c.setting) })
		if err != nil {
			b.t.Fatal(err)
		}
		files = append(files, b.write(fmt.Sprintf("%s-%d.yaml", c.id, len(files)+1), text.String()))
		if end.Ended() != "" {
			return files
		}
		if t, _, err = end.Apply(journal.Event{Type: journal.TypeResume, Time: "2027-03-01T09:00:00Z"}); err != nil {
			b.t.Fatal(err)
		}
		pc.Most = 0
	}
}

func writeAnswer(w *strings.Builder, ev journal.Event, setting string) {
	switch ev.Type {
	case journal.TypeDecide:
		fmt.Fprintf(w, "  - {at: %s, say: %q}\n  - {at: %s/reason, say: %q}\n", ev.At, ev.Params["decision"], ev.At, ev.Raw)
		if setting != string(paper.Observed) {
			fmt.Fprintf(w, "  - {at: %s/code, say: %q}\n", ev.At, ev.Params["code"])
		}
	case journal.TypeObserve:
		fmt.Fprintf(w, "  - {at: %q, say: %q}\n", "observe/"+ev.At, ev.Raw)
	default:
		fmt.Fprintf(w, "  - {at: %s, say: %q}\n", ev.At, ev.Raw)
	}
}

// From papers to the cohort report: twelve candidates with drawn faults, two stopped at
// a critical act, one killed and resumed with the passphrase asked again, one marked
// again, one overridden, one with extra time.
func TestAWholeDay(t *testing.T) {
	b, d := newBay(t), readDay(t)
	pass := b.write("pass", d.passphrase+"\n")
	b.must("assess", "key", "--out", b.path("assessor"), "--passphrase-file", pass)
	if len(d.candidates) != 12 {
		t.Fatal(len(d.candidates))
	}
	for _, c := range d.candidates {
		b.must("assess", "prepare", d.paper, "--candidates", c.id, "--setting", c.setting, "--extra", fmt.Sprintf("%s=%d", c.id, c.extra), "--dir", b.path("day"),
			"--passphrase-file", pass, "--rehearsal", "--seal-work", "6", "--instrument", "BY-07", "--calibration", "2027-01-31")
	}
	draws := map[string]bool{}
	for _, c := range d.candidates {
		record := "day/" + c.id + ".jsonl"
		draws[fmt.Sprint(b.key(record, d.passphrase).Draw)] = true
		b.sitOne(record, c, d, pass)
		b.must("assess", "sign", b.path(record), "--key", b.path("assessor"), "--passphrase-file", pass)
		b.must("assess", "evidence", b.path(record), "--signer", b.path("assessor.pub"))
		b.must("verify", b.path(record))
		b.must("assess", "reveal", b.path(record), "--passphrase-file", pass)
	}
	if len(draws) < 4 {
		t.Errorf("twelve candidates got %d different draws", len(draws))
	}
	results := map[string]*mark.Result{}
	for _, c := range d.candidates {
		results[c.id] = b.markTwice(c, pass)
	}
	checkDay(t, results)
	var rep cohort.Report
	if err := json.Unmarshal([]byte(b.must("cohort", b.path("day"), "--json")), &rep); err != nil {
		t.Fatal(err)
	}
	if len(rep.Rows) != 12 || len(rep.Items) == 0 {
		t.Errorf("the report has %d results and %d items", len(rep.Rows), len(rep.Items))
	}
	for _, row := range rep.Rows {
		if r := results[row.Candidate]; row.Mark != r.Mark || row.Meets != r.Meets || row.Seconds != r.UsedSeconds {
			t.Errorf("%s: the report says %+v, the sheet %d %v", row.Candidate, row, r.Mark, r.Meets)
		}
	}
	if text := b.must("cohort", b.path("day")); !strings.Contains(text, "C-07") {
		t.Error(text)
	}
	if csv := b.must("cohort", b.path("day"), "--csv"); strings.Count(csv, "\nresult,") != 12 {
		t.Error(csv)
	}
}

// sitOne works a candidate's answers through; a killed one is torn in the middle of a
// line and taken up again.
func (b *bay) sitOne(record string, c dayCandidate, d day, pass string) {
	b.t.Helper()
	files := b.answers(record, c, d)
	b.tick = 3 * time.Second
	if c.seconds > 0 {
		b.tick = time.Duration(c.seconds) * time.Second / 2
	}
	if c.killedAfter == 0 {
		b.must("assess", "sit", b.path(record), "--answers", files[0], "--passphrase-file", pass)
		return
	}
	if code, _, errs := b.run("assess", "sit", b.path(record), "--answers", files[0], "--passphrase-file", pass); code != ExitUsage {
		b.t.Fatalf("cut off: exit %d, %s", code, errs)
	}
	f, err := os.OpenFile(b.path(record), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		b.t.Fatal(err)
	}
	if _, err := f.WriteString(`{"prev":"77`); err != nil {
		b.t.Fatal(err)
	}
	f.Close()
	if code, _, errs := b.run("assess", "sit", b.path(record), "--answers", files[1]); code != ExitUsage || !strings.Contains(errs, "passphrase") {
		b.t.Errorf("resumed without the passphrase: exit %d, %s", code, errs)
	}
	wrong := b.write("wrong", "some other words\n")
	if code, _, errs := b.run("assess", "sit", b.path(record), "--answers", files[1], "--passphrase-file", wrong); code != ExitUsage {
		b.t.Errorf("resumed with a wrong passphrase: exit %d, %s", code, errs)
	}
	b.must("assess", "sit", b.path(record), "--answers", files[1], "--passphrase-file", pass)
}

// markTwice marks, overrides where the day says so, and marks again with another
// version of the program.
func (b *bay) markTwice(c dayCandidate, pass string) *mark.Result {
	b.t.Helper()
	record := b.path("day/" + c.id + ".jsonl")
	if o := c.override; o != nil {
		args := []string{"assess", "override", record, o.Task, string(o.Part), "--to", fmt.Sprint(o.To), "--by", "Ruth Pallister", "--key", b.path("assessor"), "--passphrase-file", pass}
		if code, _, _ := b.run(args...); code != ExitUsage {
			b.t.Errorf("an override without a reason: exit %d", code)
		}
		b.must(append(args, "--reason", o.Reason)...)
		b.must("assess", "evidence", record, "--signer", b.path("assessor.pub"))
	}
	marks := b.path(c.id + ".marks.json")
	one := b.must("assess", "mark", record, "--out", marks, "--json")
	was := b.version
	b.version = "2.0.0-next"
	if two := b.must("assess", "mark", record, "--json"); one != two {
		b.t.Errorf("%s: marked again, another result", c.id)
	}
	b.must("assess", "remark", record, marks)
	b.version = was
	b.must("assess", "mark", record)
	feedback := b.must("assess", "mark", record, "--candidate", "--json")
	for n := 1; n <= 12; n++ {
		if other := fmt.Sprintf("C-%02d", n); other != c.id && strings.Contains(feedback, other) {
			b.t.Errorf("the feedback of %s names %s", c.id, other)
		}
	}
	var r mark.Result
	if err := json.NewDecoder(bytes.NewReader([]byte(one))).Decode(&r); err != nil {
		b.t.Fatal(err)
	}
	return &r
}

// checkDay holds the outcome against what the day was written to come to.
func checkDay(t *testing.T, results map[string]*mark.Result) {
	part := func(id, task string, p paper.Part) *mark.PartMark {
		for i := range results[id].Tasks {
			for j := range results[id].Tasks[i].Parts {
				if m := &results[id].Tasks[i].Parts[j]; results[id].Tasks[i].Task == task && m.Part == p {
					return m
				}
			}
		}
		t.Fatalf("%s has no %s of %s", id, p, task)
		return nil
	}
	for _, id := range []string{"C-01", "C-05", "C-12"} {
		if r := results[id]; r.Mark != r.Of || !r.Meets || r.Ended != "complete" {
			t.Errorf("%s did everything right: %d of %d, meets %v, %s", id, r.Mark, r.Of, r.Meets, r.Ended)
		}
	}
	if it := part("C-01", "ends", paper.SetUp).Items[0]; it.Observed != "not-seen" || !it.Right {
		t.Errorf("not observed took a mark away: %+v", it)
	}
	if m := part("C-02", "insulation", paper.SetUp); m.Mark != 1 {
		t.Errorf("one of two set-up answers right: %d of %d", m.Mark, m.Of)
	}
	for id, act := range map[string]string{"C-03": mark.ActWrongIndicator, "C-04": mark.ActPairMissed} {
		r := results[id]
		if len(r.Halts) != 1 || r.Halts[0].Act != act || !r.Halts[0].Counts || r.Meets {
			t.Errorf("%s was stopped once: %+v, meets %v", id, r.Halts, r.Meets)
		}
	}
	if results["C-03"].Ended != "complete" || results["C-04"].Ended != "stopped" {
		t.Errorf("ended %s and %s", results["C-03"].Ended, results["C-04"].Ended)
	}
	if m := part("C-06", "ends", paper.Interpretation); m.Mark != 0 {
		t.Errorf("a failing ring stated as pass: %d of %d", m.Mark, m.Of)
	}
	if m := part("C-07", "crossed-ln", paper.Reading); m.ByRule != 0 || m.Mark != 2 || m.Override == nil || m.Override.From != 0 {
		t.Errorf("the overridden part: %+v", m)
	}
	if r := results["C-08"]; r.Extra != 15 || r.Allowed != 90*60 || r.UsedSeconds <= 75*60 || r.Late || r.Mark != r.Of {
		t.Errorf("extra time: %d s of %d s, late %v, %d of %d", r.UsedSeconds, r.Allowed, r.Late, r.Mark, r.Of)
	}
	if m := part("C-09", "insulation", paper.Interpretation); m.Mark != 1 {
		t.Errorf("statement right, reason wrong: %d of %d", m.Mark, m.Of)
	}
	if m := part("C-10", "ends", paper.Connection); m.Mark != 0 || part("C-10", "ends", paper.Reading).Mark != 0 || part("C-10", "ends", paper.SetUp).Mark != 2 {
		t.Errorf("leads between the conductors of one leg: %d of %d", m.Mark, m.Of)
	}
	if m := part("C-09", "insulation", paper.SetUp); m.Mark != 0 || m.Items[0].Given != "insulation 250 V" {
		t.Errorf("one of the pairs at 250 V: %+v", m)
	}
	if m := part("C-11", "ends", paper.Interpretation); m.Mark != 1 {
		t.Errorf("the reason was prompted: %d of %d", m.Mark, m.Of)
	}
}

package learner_test

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"wanderlead/internal/learner"

	"pgregory.net/rapid"
)

// TestSM2 works the formulas of SM-2 (Wozniak, "Optimization of learning", 1990) through: with quality 4 the ease stays
// 2.5 and the intervals are 1, 6, 15, 38, 95 days; quality 5 raises it by 0.1, quality 3 lowers it by 0.14; below 3 the
// repetitions begin again and the ease stays.
func TestSM2(t *testing.T) {
	var x learner.Topic
	for i, want := range []int{1, 6, 15, 38, 95} {
		x = x.Repeat(4, "2026-03-01")
		if x.IntervalDays != want || math.Abs(x.Ease-2.5) > 1e-9 {
			t.Errorf("repetition %d: %d days, ease %.3f, want %d days, 2.5", i+1, x.IntervalDays, x.Ease, want)
		}
	}
	if x.Due != "2026-06-04" {
		t.Errorf("due %s, want 95 days after 1 March 2026", x.Due)
	}
	for q, want := range map[int]float64{5: 2.6, 4: 2.5, 3: 2.36} {
		if got := (learner.Topic{}).Repeat(q, "2026-03-01").Ease; math.Abs(got-want) > 1e-9 {
			t.Errorf("quality %d: ease %v, want %v", q, got, want)
		}
	}
	y := x.Repeat(2, "2026-06-04")
	if y.Repetitions != 0 || y.IntervalDays != 1 || y.Ease != x.Ease || y.Due != "2026-06-05" {
		t.Errorf("after quality 2: %+v", y)
	}
}

func TestEaseStaysAboveItsLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var x learner.Topic
		for _, q := range rapid.SliceOfN(rapid.IntRange(0, 5), 1, 30).Draw(t, "qualities") {
			before := x
			x = x.Repeat(q, "2026-01-01")
			if x.Ease < 1.3 || x.IntervalDays < 1 {
				t.Fatalf("%+v", x)
			}
			if q >= 3 && before.Repetitions > 1 && x.IntervalDays < before.IntervalDays {
				t.Fatalf("a good repetition shortened %+v to %+v", before, x)
			}
		}
	})
}

func TestOrder(t *testing.T) {
	m := learner.New("sam")
	right, wrong := learner.Practice{Right: 3}, learner.Practice{Right: 1, Wrong: 3}
	m.Note(learner.Session{Day: "2026-03-01", Practised: map[string]learner.Practice{"ends": right, "insulation": wrong}})
	m.Note(learner.Session{Day: "2026-03-02", Practised: map[string]learner.Practice{"ends": right}, Mistakes: []string{"lamp-left-in", "lamp-left-in"}})
	got := m.Order([]string{"ends", "zs", "insulation"}, "2026-03-04")
	if want := []string{"insulation", "zs", "ends"}; !slices.Equal(got, want) {
		t.Errorf("order %v, want the weak and overdue first, then the unseen, then what is not due: %v", got, want)
	}
	if got := m.Order([]string{"ends", "zs"}, "2026-05-01"); got[0] != "ends" {
		t.Errorf("order %v: what is long overdue comes before what was never seen", got)
	}
	if m.Mistakes["lamp-left-in"].Times != 2 || m.Recurring()[0] != "lamp-left-in" {
		t.Errorf("mistakes %v", m.Mistakes)
	}
}

func TestQuality(t *testing.T) {
	for want, p := range map[int]learner.Practice{5: {Right: 2}, 4: {Right: 2, Hints: 1}, 3: {Right: 2, Hints: 3, Answers: 1}, 2: {Right: 2, Wrong: 1}, 1: {Right: 1, Wrong: 1}} {
		if got := p.Quality(); got != want {
			t.Errorf("%+v: quality %d, want %d", p, got, want)
		}
	}
}

func TestLearnersApart(t *testing.T) {
	s := learner.Store{Dir: filepath.Join(t.TempDir(), "learners")}
	one := learner.Session{Day: "2026-03-01", Practised: map[string]learner.Practice{"ends": {Right: 1}}}
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			if err := s.Note("sam", one); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if err := s.Note("kim", one); err != nil {
		t.Fatal(err)
	}
	sam, err := s.Load("sam")
	if err != nil || len(sam.Sessions) != 8 || sam.Topics["ends"].Right != 8 {
		t.Fatalf("%+v, %v: sessions that ended at once were lost", sam, err)
	}
	if names, _ := s.Names(); !slices.Equal(names, []string{"kim", "sam"}) {
		t.Errorf("learners %v", names)
	}
	if was, err := s.Delete("sam"); !was || err != nil {
		t.Errorf("%v %v", was, err)
	}
	if sam, _ := s.Load("sam"); len(sam.Sessions) != 0 {
		t.Error("sam is not forgotten")
	}
	if kim, _ := s.Load("kim"); len(kim.Sessions) != 1 {
		t.Error("kim is forgotten with sam")
	}
	for _, bad := range []string{"", "../x", "A", "a b", "a/b"} {
		if err := s.Note(bad, one); err == nil {
			t.Errorf("the name %q was taken", bad)
		}
	}
	if err := os.WriteFile(filepath.Join(s.Dir, "lee.json"), []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := s.Note("lee", one); err == nil {
		t.Error("a damaged memory was written over")
	}
}

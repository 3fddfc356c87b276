// Package cohort looks at the results of a whole group: what was achieved, how hard and
// how telling each item was, how long the parts took, whether two assessors agree, and
// what a person should look at. It decides nothing.
//
// Sources of the formulas: difficulty and corrected item-total correlation as in
// classical test theory (Crocker and Algina, Introduction to Classical and Modern Test
// Theory, 1986, chapter 14; from memory); kappa as in Cohen, A coefficient of agreement
// for nominal scales, Educational and Psychological Measurement 20 (1960), 37–46;
// outliers by the fences of Tukey, Exploratory Data Analysis, 1977.
package cohort

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
)

// Row is one candidate's result in short.
type Row struct {
	Candidate string  `json:"candidate"`
	Paper     string  `json:"paper"`
	Setting   string  `json:"setting"`
	Mark      int     `json:"mark"`
	Of        int     `json:"of"`
	Percent   float64 `json:"percent"`
	Meets     bool    `json:"meets"`
	Ended     string  `json:"ended"`
	Stops     int     `json:"stops"`
	Counts    int     `json:"stops_that_count"`
	Overrides int     `json:"overrides"`
	Seconds   int     `json:"seconds"`
	Extra     int     `json:"extra_minutes"`
	Scripted  bool    `json:"scripted"`
}

// Item is one part of a task over all candidates of a paper.
type Item struct {
	Paper string     `json:"paper"`
	Task  string     `json:"task"`
	Part  paper.Part `json:"part"`
	Count int        `json:"count"`
	// Difficulty is the mean share of the marks: 1, everybody had them all.
	Difficulty float64 `json:"difficulty"`
	// Discrimination is the correlation of the item with the sum of all others; null
	// where either does not vary, or with fewer than three candidates.
	Discrimination *float64 `json:"discrimination"`
	MedianSeconds  float64  `json:"median_seconds"`
}

// Flag is something for a person to look at. It says what was found, not what it means.
type Flag struct {
	What       string   `json:"what"`
	Candidates []string `json:"candidates"`
	Paper      string   `json:"paper"`
	Detail     []string `json:"detail"`
}

// Agreement is how two assessors agree on papers marked twice.
type Agreement struct {
	Papers   int      `json:"papers"`
	Marks    int      `json:"marks"`    // part marks compared
	Observed float64  `json:"observed"` // share of equal marks
	Kappa    *float64 `json:"kappa"`    // null where chance alone explains all, or nothing was marked twice
}

// Report is the whole.
type Report struct {
	Rows      []Row     `json:"results"`
	Items     []Item    `json:"items"`
	Flags     []Flag    `json:"flags"`
	Agreement Agreement `json:"agreement"`
	Notice    string    `json:"notice"`
}

// Notice stands on every report.
const Notice = "Flags are for a person to look at; they prove nothing."

// Collector takes results one at a time, so that a large group needs little memory.
type Collector struct {
	rows     []Row
	papers   map[string]*sums
	readings map[string][]typed // paper, setting, reading id and value typed -> who typed it
	odd      map[string][]string
	agree    table
	doubles  int
}

// sums are the item scores of one paper, candidate by candidate.
type sums struct {
	items  []itemKey
	index  map[itemKey]int
	shares [][]float64 // per item: share of the marks, NaN where it was not there
	marks  [][]float64
	times  [][]float64
	totals []float64
}

type itemKey struct {
	task string
	part paper.Part
}

type typed struct {
	row       int32
	right     bool
	reference string
}

// New is an empty collector.
func New() *Collector {
	return &Collector{papers: map[string]*sums{}, readings: map[string][]typed{}, odd: map[string][]string{}, agree: table{}}
}

// Add takes one result; second is the same record marked by a second assessor, or nil.
func (c *Collector) Add(r, second *mark.Result) {
	row := Row{Candidate: r.Candidate, Paper: r.Paper, Setting: r.Setting, Mark: r.Mark, Of: r.Of, Percent: r.Percent, Meets: r.Meets,
		Ended: r.Ended, Stops: len(r.Halts), Seconds: r.UsedSeconds, Extra: r.Extra, Scripted: r.Scripted}
	for _, h := range r.Halts {
		if h.Counts {
			row.Counts++
		}
	}
	s := c.papers[r.Paper]
	if s == nil {
		s = &sums{index: map[itemKey]int{}}
		c.papers[r.Paper] = s
	}
	n := len(s.totals)
	s.totals = append(s.totals, float64(r.Mark))
	for i := range r.Tasks {
		for j := range r.Tasks[i].Parts {
			p := &r.Tasks[i].Parts[j]
			if p.Override != nil {
				row.Overrides++
			}
			s.add(n, itemKey{r.Tasks[i].Task, p.Part}, p)
			if p.Part == paper.Reading {
				c.addReadings(r, int32(len(c.rows)), p)
			}
		}
	}
	c.rows = append(c.rows, row)
	if second != nil {
		c.doubles++
		c.compare(r, second)
	}
}

func (s *sums) add(n int, k itemKey, p *mark.PartMark) {
	i, ok := s.index[k]
	if !ok {
		i = len(s.items)
		s.index[k] = i
		s.items = append(s.items, k)
		s.shares, s.marks, s.times = append(s.shares, nil), append(s.marks, nil), append(s.times, nil)
	}
	for len(s.shares[i]) < n {
		s.shares[i], s.marks[i], s.times[i] = append(s.shares[i], math.NaN()), append(s.marks[i], 0), append(s.times[i], math.NaN())
	}
	s.shares[i] = append(s.shares[i], float64(p.Mark)/float64(p.Of))
	s.marks[i] = append(s.marks[i], float64(p.Mark))
	s.times[i] = append(s.times[i], float64(p.Seconds))
}

// Report works out the statistics.
func (c *Collector) Report() *Report {
	rep := &Report{Rows: c.rows, Items: []Item{}, Flags: []Flag{}, Notice: Notice}
	if rep.Rows == nil {
		rep.Rows = []Row{}
	}
	names := make([]string, 0, len(c.papers))
	for p := range c.papers {
		names = append(names, p)
	}
	sort.Strings(names)
	for _, p := range names {
		rep.Items = append(rep.Items, c.papers[p].report(p)...)
	}
	rep.Flags = append(rep.Flags, c.alike()...)
	rep.Flags = append(rep.Flags, c.outliers(names)...)
	sort.SliceStable(rep.Flags, func(i, j int) bool { return rep.Flags[i].What < rep.Flags[j].What })
	rep.Agreement = Agreement{Papers: c.doubles, Marks: c.agree.count(), Observed: c.agree.observed()}
	if k := c.agree.kappa(); !math.IsNaN(k) {
		rep.Agreement.Kappa = &k
	}
	return rep
}

func (s *sums) report(name string) []Item {
	var out []Item
	for i, k := range s.items {
		it := Item{Paper: name, Task: k.task, Part: k.part}
		var x, rest, times []float64
		sum := 0.0
		for n, v := range s.shares[i] {
			if math.IsNaN(v) {
				continue
			}
			sum += v
			x, rest, times = append(x, s.marks[i][n]), append(rest, s.totals[n]-s.marks[i][n]), append(times, s.times[i][n])
		}
		it.Count = len(x)
		it.Difficulty = round3(sum / float64(len(x)))
		if d := discrimination(x, rest); !math.IsNaN(d) {
			d = round3(d)
			it.Discrimination = &d
		}
		it.MedianSeconds = median(times)
		out = append(out, it)
	}
	return out
}

// discrimination is the corrected item-total correlation: Pearson's correlation of an
// item's marks with the sum of all others. NaN where it is not defined.
func discrimination(item, rest []float64) float64 {
	if len(item) < 3 {
		return math.NaN()
	}
	d := stat.Correlation(item, rest, nil)
	if math.IsInf(d, 0) {
		return math.NaN()
	}
	return d
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	s := append([]float64(nil), x...)
	sort.Float64s(s)
	if n := len(s); n%2 == 0 {
		return (s[n/2-1] + s[n/2]) / 2
	}
	return s[len(s)/2]
}

func round3(v float64) float64 { return math.Round(float64(v*1000)) / 1000 }

// table counts how often two assessors gave which marks.
type table map[[2]int]int

func (t table) count() int {
	n := 0
	for _, c := range t {
		n += c
	}
	return n
}

func (t table) observed() float64 {
	n, same := t.count(), 0
	if n == 0 {
		return 0
	}
	for k, c := range t {
		if k[0] == k[1] {
			same += c
		}
	}
	return round3(float64(same) / float64(n))
}

// kappa is Cohen's kappa: (po − pe) / (1 − pe), with po the share of equal marks and pe
// the share expected by chance from each assessor's own marks.
func (t table) kappa() float64 {
	n := float64(t.count())
	if n == 0 {
		return math.NaN()
	}
	a, b := map[int]float64{}, map[int]float64{}
	po := 0.0
	for k, c := range t {
		a[k[0]] += float64(c) / n
		b[k[1]] += float64(c) / n
		if k[0] == k[1] {
			po += float64(c) / n
		}
	}
	keys := make([]int, 0, len(a))
	for m := range a {
		keys = append(keys, m)
	}
	sort.Ints(keys)
	pe := 0.0
	for _, m := range keys {
		pe += float64(a[m] * b[m])
	}
	if pe >= 1-1e-12 {
		return math.NaN()
	}
	return round3((po - pe) / (1 - pe))
}

func (c *Collector) compare(a, b *mark.Result) {
	other := map[itemKey]int{}
	for _, t := range b.Tasks {
		for _, p := range t.Parts {
			other[itemKey{t.Task, p.Part}] = p.Mark
		}
	}
	for _, t := range a.Tasks {
		for _, p := range t.Parts {
			if m, ok := other[itemKey{t.Task, p.Part}]; ok {
				c.agree[[2]int{p.Mark, m}]++
			}
		}
	}
}

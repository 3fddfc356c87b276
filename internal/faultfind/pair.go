package faultfind

import (
	"math"
	"slices"
)

// pairs weighs two faults together. Each of the best singles is held while every form is tried beside it; then of the
// best pairs one is held and the other sought anew, in turn, since what a single looked like alone may have been bent by
// the other's readings. All that lets the two effects add up without solving anything; what passes is solved with both in
// the network.
func (m *Model) pairs(singles []scored, seen []observed, extras bool) ([]scored, int) {
	s := &sieve{m: m, seen: seen, sound: m.known(m.forms[0], dead)[0]}
	if extras {
		s.sound = m.sound
	}
	kinds, held := map[string]int{}, 0
	for _, one := range singles {
		f := one.picks[0].form
		if f.Kind == None || kinds[f.Kind] == 2 {
			continue
		}
		kinds[f.Kind]++
		s.beside(one.picks[0])
		if held++; held == 8 {
			break
		}
	}
	for range 4 {
		sortScored(s.found)
		again := map[string]bool{}
		for _, pair := range slices.Clone(s.found[:min(len(s.found), 60)]) {
			key := pair.picks[0].form.Kind + pair.picks[1].form.Kind
			if again[key] || len(again) == 3 {
				continue
			}
			again[key] = true
			s.beside(pair.picks[1])
		}
	}
	sortScored(s.found)
	out := s.diverse(48)
	var buffer answer
	for i := range out {
		m.settlePair(&out[i], seen, extras, false, &buffer)
	}
	sortScored(out)
	out = out[:min(len(out), 6)]
	for i := range out {
		m.settlePair(&out[i], seen, extras, true, &buffer)
	}
	return out, s.tried
}

// sieve finds pairs by letting effects add up.
type sieve struct {
	m              *Model
	seen           []observed
	sound          answer
	found          []scored
	tried          int
	one, two, both answer
	held           []pick
}

// diverse are the best pairs, no more than three of the same two kinds: where effects do not simply add up, a sieve is
// taken in by some kinds at all their places.
func (s *sieve) diverse(n int) (out []scored) {
	have, kinds := map[[2]*form]bool{}, map[string]int{}
	for _, pair := range s.found {
		a, b := pair.picks[0].form, pair.picks[1].form
		if a.Kind+a.place() > b.Kind+b.place() {
			a, b = b, a
		}
		if have[[2]*form{a, b}] || kinds[a.Kind+b.Kind] == 3 {
			continue
		}
		have[[2]*form{a, b}] = true
		kinds[a.Kind+b.Kind]++
		if out = append(out, pair); len(out) == n {
			break
		}
	}
	return out
}

// beside tries every form beside one that is held.
func (s *sieve) beside(first pick) {
	if slices.ContainsFunc(s.held, func(p pick) bool { return p.form == first.form && math.Abs(p.size-first.size) <= 0.05*p.size }) {
		return
	}
	s.held = append(s.held, first)
	s.one = s.m.interpolated(s.one, first.form, first.size)
	for _, f := range s.m.forms {
		if f.Kind == None || f == first.form || f.innocent && first.form.innocent {
			continue
		}
		prior := first.form.prior + f.prior + pairPrior
		best := scored{log: math.Inf(-1)}
		try := func(size float64) bool {
			s.two = s.m.interpolated(s.two, f, size)
			s.both = superposed(s.both, s.sound, s.one, s.two)
			s.tried++
			t := s.m.against(s.both, s.seen)
			if l := t.log + prior + f.sizePrior(size); l > best.log {
				best = scored{picks: []pick{first, {f, size}}, fit: t, log: l}
				return true
			}
			return false
		}
		if len(f.sizes) == 0 {
			try(0)
		} else {
			low, high := f.sizes[0], f.sizes[len(f.sizes)-1]
			for i := range 9 {
				try(float64(low * math.Pow(high/low, float64(i)/8)))
			}
			for step := math.Pow(high/low, 1.0/16); step > 1.02; step = math.Sqrt(step) {
				if size := best.picks[1].size; !try(min(high, float64(size*step))) {
					try(max(low, size/step))
				}
			}
		}
		s.found = append(s.found, best)
	}
}

// superposed lets the effects of two faults add up; nothing read with either is nothing read with both.
func superposed(out, sound, one, two answer) answer {
	out = resized(out, len(sound))
	for i := range out {
		switch {
		case nothing(one[i]) || nothing(two[i]):
			out[i] = math.Inf(1)
		case nothing(sound[i]):
			out[i] = 1 / (1/one[i] + 1/two[i])
		default:
			out[i] = max(0, one[i]+two[i]-sound[i])
		}
	}
	return out
}

// settlePair solves a pair and, if it is to be fine, fits both sizes: one after the other, then on along the line that
// took both (R. Hooke, T. A. Jeeves, "Direct search solution of numerical and statistical problems", Journal of the ACM 8,
// 1961; from memory), since the two often make up for each other.
func (m *Model) settlePair(s *scored, seen []observed, extras, fine bool, buffer *answer) {
	prior := s.picks[0].form.prior + s.picks[1].form.prior + pairPrior
	s.picks = slices.Clone(s.picks)
	weigh := func(a, b float64) (fit, float64) {
		*buffer = m.predict(*buffer, extras, pick{s.picks[0].form, a}, pick{s.picks[1].form, b})
		t := m.against(*buffer, seen)
		return t, t.log + prior + s.picks[0].form.sizePrior(a) + s.picks[1].form.sizePrior(b)
	}
	s.fit, s.log = weigh(s.picks[0].size, s.picks[1].size)
	move := func(fa, fb float64) bool {
		a, b := s.picks[0].within(fa), s.picks[1].within(fb)
		t, l := weigh(a, b)
		if l <= s.log {
			return false
		}
		s.fit, s.log, s.picks[0].size, s.picks[1].size = t, l, a, b
		return true
	}
	for round := 0; fine && round < 8; round++ {
		a, b, log := s.picks[0].size, s.picks[1].size, s.log
		for step := 1.4; step > 1.02; step = math.Sqrt(step) {
			for k := range s.picks {
				if len(s.picks[k].form.sizes) == 0 {
					continue
				}
				f := [2]float64{1, 1}
				if f[k] = step; !move(f[0], f[1]) {
					f[k] = 1 / step
					move(f[0], f[1])
				}
			}
		}
		if s.log < log+0.1 {
			break
		}
		for move(s.picks[0].size/max(a, 1e-9), s.picks[1].size/max(b, 1e-9)) && s.log > log+0.1 {
			log = s.log
		}
	}
}

// within is the size by a factor, inside what is looked for.
func (p pick) within(factor float64) float64 {
	if n := len(p.form.sizes); n > 0 {
		return min(p.form.sizes[n-1], max(p.form.sizes[0], float64(p.size*factor)))
	}
	return p.size
}

package faultfind

import (
	"cmp"
	"maps"
	"math"
	"slices"
)

// reducer collects the part of a network that no hypothesis touches and takes out of it what need not be kept.
type reducer struct {
	parent []int32
	edges  []branch // in siemens, between terminals
}

func (r *reducer) find(x int32) int32 {
	for r.parent[x] != x {
		r.parent[x] = r.parent[r.parent[x]]
		x = r.parent[x]
	}
	return x
}

func (r *reducer) join(a, b int32) {
	a, b = r.find(a), r.find(b)
	r.parent[max(a, b)] = min(a, b)
}

func (r *reducer) resistor(a, b int32, ohm float64) {
	switch {
	case ohm == 0:
		r.join(a, b)
	case !math.IsInf(ohm, 1):
		r.edges = append(r.edges, branch{a, b, 1 / ohm})
	}
}

// reduce is the conductances (in the field ohm) between the kept classes that stand for the whole: star-mesh, the node
// with the fewest neighbours first.
func (r *reducer) reduce(kept func(int32) bool) []branch {
	meets := map[int32]map[int32]float64{}
	add := func(a, b int32, g float64) {
		for range 2 {
			if meets[a] == nil {
				meets[a] = map[int32]float64{}
			}
			meets[a][b] += g
			a, b = b, a
		}
	}
	for _, e := range r.edges {
		if a, b := r.find(e.a), r.find(e.b); a != b {
			add(a, b, e.ohm)
		}
	}
	var out []int32
	for n := range meets {
		if !kept(n) {
			out = append(out, n)
		}
	}
	for len(out) > 0 {
		at := 0
		for i, n := range out {
			if a, b := len(meets[n]), len(meets[out[at]]); a < b || a == b && n < out[at] {
				at = i
			}
		}
		n := out[at]
		out[at] = out[len(out)-1]
		out = out[:len(out)-1]
		star := slices.Sorted(maps.Keys(meets[n]))
		sum := 0.0
		for _, m := range star {
			sum += meets[n][m]
		}
		for i, a := range star {
			delete(meets[a], n)
			for _, b := range star[i+1:] {
				add(a, b, float64(meets[n][a]*meets[n][b]/sum))
			}
		}
		delete(meets, n)
	}
	var left []branch
	for a, row := range meets {
		for b, g := range row {
			if a < b {
				left = append(left, branch{a, b, g})
			}
		}
	}
	slices.SortFunc(left, func(x, y branch) int { return cmp.Or(cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b)) })
	return left
}

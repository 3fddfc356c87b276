package network

import (
	"fmt"
	"math"
	"slices"
	"sync"
)

// Resistance is the resistance between two nodes in ohms: exactly 0 when they are joined, exactly +Inf when there is
// no path. NaN for a node that does not exist.
func (n *Network) Resistance(a, b int) float64 {
	if a < 0 || b < 0 || a >= len(n.at) || b >= len(n.at) {
		return math.NaN()
	}
	if n.at[a] == n.at[b] {
		return 0
	}
	g := n.eliminate([]int32{n.at[a], n.at[b]})
	if g[1] == 0 {
		return math.Inf(1)
	}
	return 1 / g[1]
}

// Joined says whether two nodes are one, by ideal links.
func (n *Network) Joined(a, b int) bool { return n.at[a] == n.at[b] }

// Ports is a network reduced to some of its nodes: what stands between them, seen from outside, is the same.
type Ports struct {
	index   []int // port asked for -> row
	rows    int
	siemens []float64 // rows × rows, symmetric, 0 on the diagonal
}

// Reduce reduces the network to the given nodes (Kron reduction). Nodes that are joined share a row.
func (n *Network) Reduce(nodes ...int) (*Ports, error) {
	p := &Ports{index: make([]int, len(nodes))}
	var places []int32
	row := map[int32]int{}
	for i, node := range nodes {
		if node < 0 || node >= len(n.at) {
			return nil, fmt.Errorf("no node %d: there are %d", node, len(n.at))
		}
		at := n.at[node]
		if _, ok := row[at]; !ok {
			row[at] = len(places)
			places = append(places, at)
		}
		p.index[i] = row[at]
	}
	p.rows, p.siemens = len(places), n.eliminate(places)
	return p, nil
}

// Rows is the number of distinct ports.
func (p *Ports) Rows() int { return p.rows }

// Row is the row of the i-th node asked for.
func (p *Ports) Row(i int) int { return p.index[i] }

// Siemens is the conductance of the branch between two rows of the reduced network.
func (p *Ports) Siemens(i, j int) float64 { return p.siemens[i*p.rows+j] }

// eliminate takes every place out of the network except the kept ones, and returns the conductances between those, m × m.
//
// Only the kept places and what comes after them is worked out anew: a place meets, when it is taken out, what all places
// before it have left there, and none of these is another one because some place far from it was kept. In the tree that
// joins each place to the first of its later neighbours (the elimination tree: R. Schreiber, "A new implementation of
// sparse Gaussian elimination", ACM Transactions on Mathematical Software 8, 1982; from memory), the places that differ
// are those on the way from a kept place to the root; all others were taken out once, when the network was built.
//
// The kept places take no part in the order: what meets them is held in a column of its own, port[k*m+i] for place k and
// kept place i. The fill without them is part of the fill with them, so the layout made once serves any choice.
func (n *Network) eliminate(kept []int32) []float64 {
	m := len(kept)
	between := make([]float64, m*m)
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	s.begin(n, kept)
	for _, k := range s.marked {
		column := s.port[int(k)*m : int(k)*m+m]
		n.gather(s, k, column)
		lo, hi := n.start[k], n.start[k+1]
		star := s.g[lo:hi]
		if i := int(s.index[k]) - 1; i >= 0 { // kept: what meets it from earlier kept places is final
			for j, v := range column {
				between[min(i, j)*m+max(i, j)] += v
			}
			continue
		}
		for e, to := range n.to[lo:hi] {
			if s.stamp[to] == s.epoch && s.index[to] != 0 {
				column[s.index[to]-1] += star[e]
				star[e] = 0
			}
		}
		s.inverse[k] = inverseSum(star, column)
		for i, gi := range column {
			share := float64(gi * s.inverse[k])
			for j := i + 1; j < m; j++ {
				between[i*m+j] += float64(share * column[j])
			}
		}
	}
	for i := range m {
		for j := i + 1; j < m; j++ {
			between[j*m+i] = between[i*m+j]
		}
	}
	return between
}

// gather finds what place k meets at the moment it is its turn: its own conductances, and what the places taken out
// before it have put between their neighbours.
func (n *Network) gather(s *scratch, k int32, column []float64) {
	lo, hi := n.start[k], n.start[k+1]
	copy(s.g[lo:hi], n.siemens[lo:hi])
	m := len(column)
	for _, c := range n.columns[n.columnStart[k]:n.columnStart[k+1]] {
		j, end := c.place, n.start[c.place+1]
		rest := n.gone[c.at+1 : end]
		share := n.gone[c.at]
		switch {
		case s.stamp[j] != s.epoch:
			share = float64(share * n.inverse[j])
		case s.index[j] != 0:
			column[s.index[j]-1] += s.g[c.at]
			continue
		default:
			rest = s.g[c.at+1 : end]
			share = float64(s.g[c.at] * s.inverse[j])
			for i, v := range s.port[int(j)*m : int(j)*m+m] {
				column[i] += float64(share * v)
			}
		}
		mesh := n.mesh[c.mesh:][:len(rest)]
		for x, v := range rest {
			s.g[mesh[x]] += float64(share * v)
		}
	}
}

// takeOut takes all places out, none kept, and leaves in gone what each met when it was its turn.
func (n *Network) takeOut() {
	n.gone = append([]float64(nil), n.siemens...)
	n.inverse = make([]float64, len(n.start)-1)
	for k := range n.inverse {
		star := n.gone[n.start[k]:n.start[k+1]]
		n.inverse[k] = inverseSum(star, nil)
		mesh := n.mesh[n.meshStart[k]:n.meshStart[k+1]]
		for i, gi := range star {
			share := float64(gi * n.inverse[k])
			rest := star[i+1:]
			for j, gj := range rest {
				n.gone[mesh[j]] += float64(share * gj)
			}
			mesh = mesh[len(rest):]
		}
	}
}

// inverseSum is one over the sum of both lists, 0 for a place that meets nothing: nothing passes through it.
func inverseSum(star, column []float64) float64 {
	sum := 0.0
	for _, v := range star {
		sum += v
	}
	for _, v := range column {
		sum += v
	}
	if sum == 0 {
		return 0
	}
	return 1 / sum
}

// scratch is what one elimination works on. It is used again, because on a small network making it takes as long as the
// arithmetic. Nothing in it counts but at the places marked with the present epoch.
type scratch struct {
	g, inverse, port []float64
	index            []int32 // 1 + number of the kept place, 0 for those to be taken out
	stamp            []uint64
	epoch            uint64
	marked           []int32
}

var scratches = sync.Pool{New: func() any { return &scratch{} }}

// begin marks the kept places and all that lie between them and the root, in order.
func (s *scratch) begin(n *Network, kept []int32) {
	places := len(n.start) - 1
	s.g, s.inverse, s.port = atLeast(s.g, len(n.to)), atLeast(s.inverse, places), atLeast(s.port, places*len(kept))
	s.index, s.stamp = atLeast(s.index, places), atLeast(s.stamp, places)
	s.epoch++
	s.marked = s.marked[:0]
	for _, k := range kept {
		for p := k; p != none && s.stamp[p] != s.epoch; p = n.parent(p) {
			s.stamp[p] = s.epoch
			s.index[p] = 0
			clear(s.port[int(p)*len(kept):][:len(kept)])
			s.marked = append(s.marked, p)
		}
	}
	for i, k := range kept {
		s.index[k] = int32(i) + 1
	}
	slices.Sort(s.marked)
}

// parent is the first of the later neighbours of a place, none for a root.
func (n *Network) parent(k int32) int32 {
	if n.start[k] == n.start[k+1] {
		return none
	}
	return n.to[n.start[k]]
}

// atLeast is the slice at that length or longer; what is in it is of no account, but new stamps are 0.
func atLeast[T float64 | int32 | uint64](s []T, length int) []T {
	if len(s) < length {
		return make([]T, length)
	}
	return s
}

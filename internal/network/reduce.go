package network

import (
	"fmt"
	"math"
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
// The kept places take no part in the order: what meets them is held in a column of its own, port[k*m+i] for place k and
// kept place i. The fill without them is part of the fill with them, so the layout made once serves any choice.
func (n *Network) eliminate(kept []int32) []float64 {
	m, places := len(kept), len(n.start)-1
	between := make([]float64, m*m)
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	g := append(s.g[:0], n.siemens...)
	port, index := zeroed(s.port, places*m), zeroed(s.index, places)
	s.g, s.port, s.index = g, port, index
	for i, k := range kept {
		index[k] = int32(i) + 1
	}
	n.cutOut(index, m, g, port, between)
	for k := range places {
		if index[k] != 0 {
			continue
		}
		lo, hi := n.start[k], n.start[k+1]
		star, to, column := g[lo:hi], n.to[lo:hi], port[k*m:k*m+m]
		sum := 0.0
		for _, v := range star {
			sum += v
		}
		for _, v := range column {
			sum += v
		}
		if sum == 0 {
			continue // isolated: nothing passes through it
		}
		inverse := 1 / sum
		mesh := n.mesh[n.meshStart[k]:n.meshStart[k+1]]
		for i, gi := range star {
			share := gi * inverse
			rest := star[i+1:]
			for j, gj := range rest {
				g[mesh[j]] += float64(share * gj)
			}
			mesh = mesh[len(rest):]
		}
		for i, gi := range column {
			if gi == 0 {
				continue
			}
			share := gi * inverse
			for j, gj := range star {
				port[int(to[j])*m+i] += float64(share * gj)
			}
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

// scratch is what one elimination works on. It is used again, because on a small network making it takes as long as the
// arithmetic.
type scratch struct {
	g, port []float64
	index   []int32 // 1 + number of the kept place, 0 for those to be taken out
}

var scratches = sync.Pool{New: func() any { return &scratch{} }}

// zeroed is a slice of that length, all zero, in the same memory if it is large enough.
func zeroed[T float64 | int32](s []T, length int) []T {
	if cap(s) < length {
		return make([]T, length)
	}
	s = s[:length]
	clear(s)
	return s
}

// cutOut moves the conductances that meet a kept place from g to the columns, and those between two kept places to
// between; each appears in one place only.
func (n *Network) cutOut(index []int32, m int, g, port, between []float64) {
	for k, here := range index {
		lo, hi := n.start[k], n.start[k+1]
		for e, to := range n.to[lo:hi] {
			there := index[to]
			if here == 0 && there == 0 {
				continue
			}
			at := int(lo) + e
			switch i, j := int(here)-1, int(there)-1; {
			case i >= 0 && j >= 0:
				between[min(i, j)*m+max(i, j)] = g[at]
			case i >= 0:
				port[int(to)*m+i] = g[at]
			default:
				port[k*m+j] = g[at]
			}
			g[at] = 0
		}
	}
}

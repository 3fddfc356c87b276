package network

import (
	"fmt"
	"math"
	"slices"
)

// The resistances a network takes, in ohms: far below any contact and far above any insulation. Within these bounds no
// conductance of a reduced network underflows.
const (
	LeastOhm = 1e-9
	MostOhm  = 1e15
)

// Builder collects nodes, links and resistances. The zero value is an empty network.
type Builder struct {
	parent []int32
	edges  []edge
	err    error
}

type edge struct {
	a, b    int32
	siemens float64
}

// Node adds a node and returns its number. Numbers count from 0.
func (b *Builder) Node() int {
	b.parent = append(b.parent, int32(len(b.parent)))
	return len(b.parent) - 1
}

// Nodes is the number of nodes added so far.
func (b *Builder) Nodes() int { return len(b.parent) }

// Join makes an ideal link: the two nodes become one.
func (b *Builder) Join(x, y int) {
	if !b.known(x) || !b.known(y) {
		return
	}
	p, q := find(b.parent, int32(x)), find(b.parent, int32(y))
	if p > q {
		p, q = q, p
	}
	b.parent[q] = p // the lower number stays, so that the result does not depend on who was joined to whom
}

// Resistor adds a resistance between two nodes. 0 is an ideal link and +Inf an open branch; anything else outside
// LeastOhm to MostOhm is an error that Build returns.
func (b *Builder) Resistor(x, y int, ohm float64) {
	switch {
	case !b.known(x) || !b.known(y):
	case ohm == 0:
		b.Join(x, y)
	case math.IsInf(ohm, 1):
	case !(ohm >= LeastOhm && ohm <= MostOhm):
		b.fail(fmt.Errorf("a resistance of %g Ω between nodes %d and %d: found outside %g Ω to %g Ω", ohm, x, y, LeastOhm, MostOhm))
	default:
		b.edges = append(b.edges, edge{int32(x), int32(y), 1 / ohm})
	}
}

func (b *Builder) known(x int) bool {
	if x < 0 || x >= len(b.parent) {
		b.fail(fmt.Errorf("no node %d: there are %d", x, len(b.parent)))
		return false
	}
	return true
}

func (b *Builder) fail(err error) {
	if b.err == nil {
		b.err = err
	}
}

// find is the representative of a node's merged set; the path is halved on the way.
func find(parent []int32, x int32) int32 {
	for parent[x] != x {
		parent[x] = parent[parent[x]]
		x = parent[x]
	}
	return x
}

// Network is a network ready to be asked. It is never changed, so several goroutines may ask it at once.
type Network struct {
	at []int32 // node -> place in the order of elimination, after merging

	// The fill of the elimination, by place: place k meets the later places to[start[k]:start[k+1]], in rising order, with
	// the conductances siemens[...]; those that come into being only on the way start as 0.
	start   []int32
	to      []int32
	siemens []float64

	// mesh lists, for place k and each pair of its neighbours in order, which entry of siemens joins that pair.
	meshStart []int32
	mesh      []int32

	// columns lists, for place k, the earlier places that meet it.
	columnStart []int32
	columns     []meeting

	// What each place met when all were taken out in order, laid out as siemens, and one over its sum: see takeOut.
	gone, inverse []float64
}

// meeting is an earlier place's conductance to a place: the earlier place, the index of the conductance in siemens, and
// where in mesh the pairs of that conductance with the later ones of its row begin.
type meeting struct{ place, at, mesh int32 }

// Build merges what is joined, adds up what is parallel and finds the order of elimination. The error names the first
// node or resistance that was no good.
func (b *Builder) Build() (*Network, error) {
	if b.err != nil {
		return nil, b.err
	}
	merged := make([]int32, len(b.parent)) // node -> merged number
	count := int32(0)
	for i := range b.parent {
		if root := find(b.parent, int32(i)); root == int32(i) {
			merged[i] = count
			count++
		} else {
			merged[i] = merged[root] // roots have the lowest number of their set, so this one is known
		}
	}
	edges := make([]edge, 0, len(b.edges))
	for _, e := range b.edges {
		p, q := merged[e.a], merged[e.b]
		if p > q {
			p, q = q, p
		}
		if p != q {
			edges = append(edges, edge{p, q, e.siemens})
		}
	}
	return assemble(merged, int(count), parallel(edges)), nil
}

// parallel adds up the conductances between the same two nodes, in a fixed order: by node, then by size, so that the
// order in which resistances were added does not change a bit.
func parallel(edges []edge) []edge {
	slices.SortFunc(edges, func(x, y edge) int {
		switch {
		case x.a != y.a:
			return int(x.a - y.a)
		case x.b != y.b:
			return int(x.b - y.b)
		case x.siemens < y.siemens:
			return -1
		case x.siemens > y.siemens:
			return 1
		}
		return 0
	})
	out := edges[:0]
	for _, e := range edges {
		if n := len(out); n > 0 && out[n-1].a == e.a && out[n-1].b == e.b {
			out[n-1].siemens += e.siemens
		} else {
			out = append(out, e)
		}
	}
	return out
}

// assemble orders the nodes and lays out the fill.
func assemble(merged []int32, count int, edges []edge) *Network {
	order, later := eliminationOrder(count, edges)
	place := make([]int32, count)
	for k, node := range order {
		place[node] = int32(k)
	}
	n := &Network{at: merged, start: make([]int32, count+1), meshStart: make([]int32, count+1)}
	for i, m := range n.at {
		n.at[i] = place[m]
	}
	fill, pairs := 0, 0
	for _, row := range later {
		fill += len(row)
		pairs += len(row) * (len(row) - 1) / 2
	}
	n.to, n.mesh = make([]int32, 0, fill), make([]int32, 0, pairs)
	for k, node := range order {
		row := later[node]
		for i := range row {
			row[i] = place[row[i]]
		}
		slices.Sort(row)
		n.to = append(n.to, row...)
		n.start[k+1] = int32(len(n.to))
	}
	n.siemens = make([]float64, len(n.to))
	for _, e := range edges {
		p, q := place[e.a], place[e.b]
		n.siemens[n.entry(min(p, q), max(p, q))] = e.siemens
	}
	for k := range order {
		row := n.to[n.start[k]:n.start[k+1]]
		for i, p := range row {
			at := n.start[p]
			for _, q := range row[i+1:] { // the row of p holds all of these: that is what fill means
				for n.to[at] != q {
					at++
				}
				n.mesh = append(n.mesh, at)
			}
		}
		n.meshStart[k+1] = int32(len(n.mesh))
	}
	n.meetings()
	n.takeOut()
	return n
}

// meetings lists for each place the earlier ones that meet it, in order.
func (n *Network) meetings() {
	places := len(n.start) - 1
	n.columnStart = make([]int32, places+1)
	for _, p := range n.to {
		n.columnStart[p+1]++
	}
	for k := range places {
		n.columnStart[k+1] += n.columnStart[k]
	}
	n.columns = make([]meeting, len(n.to))
	next := slices.Clone(n.columnStart)
	for k := range places {
		mesh := n.meshStart[k]
		for at := n.start[k]; at < n.start[k+1]; at++ {
			p := n.to[at]
			n.columns[next[p]] = meeting{int32(k), at, mesh}
			next[p]++
			mesh += n.start[k+1] - at - 1
		}
	}
}

// entry is the index of the conductance between places p < q.
func (n *Network) entry(p, q int32) int32 {
	i, _ := slices.BinarySearch(n.to[n.start[p]:n.start[p+1]], q)
	return n.start[p] + int32(i)
}

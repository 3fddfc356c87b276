package network

// freely is the degree up to which a node goes without being of the least degree: what the places in the middle of a
// circuit of three conductors come to. It costs some fill and keeps few places between any place and the last one.
const freely = 10

// eliminationOrder takes nodes of low degree out, joining the neighbours of each among each other, in rounds: least degree
// first, and a node whose neighbour went waits for the next round (multiple minimum degree: J. W. H. Liu, ACM Transactions
// on Mathematical Software 11, 1985; from memory). On a long circuit a round takes places all along it rather than running
// in from the ends, so that the number of places that any one answer needs grows with the logarithm of the length. later
// holds, for each node, its neighbours at the moment it was taken out.
func eliminationOrder(count int, edges []edge) (order []int32, later [][]int32) {
	adjacent := neighbours(count, edges)
	q := newQueue(count)
	for i := range adjacent {
		q.push(int32(i), len(adjacent[i]))
	}
	order = make([]int32, 0, count)
	touched := make([]int32, count)
	var spare, round []int32
	for n := int32(1); len(order) < count; n++ {
		round = q.candidates(round[:0])
		for _, k := range round {
			if touched[k] == n {
				continue
			}
			q.drop(k)
			order = append(order, k)
			star := adjacent[k]
			for _, i := range star {
				touched[i] = n
				spare = mergeInto(spare[:0], adjacent[i], star, i, k)
				if len(spare) > cap(adjacent[i]) {
					adjacent[i] = append(make([]int32, 0, 2*len(spare)), spare...)
				} else {
					adjacent[i] = append(adjacent[i][:0], spare...)
				}
				q.move(i, len(adjacent[i]))
			}
		}
	}
	return order, adjacent
}

// neighbours lists for each node the nodes it meets, rising.
func neighbours(count int, edges []edge) [][]int32 {
	degree := make([]int32, count)
	for _, e := range edges {
		degree[e.a]++
		degree[e.b]++
	}
	all := make([]int32, 2*len(edges))
	adjacent := make([][]int32, count)
	at := int32(0)
	for i, d := range degree {
		adjacent[i] = all[at : at : at+d]
		at += d
	}
	for _, e := range edges { // sorted by (a, b): every list comes out rising, lower neighbours first
		adjacent[e.b] = append(adjacent[e.b], e.a)
	}
	for _, e := range edges {
		adjacent[e.a] = append(adjacent[e.a], e.b)
	}
	return adjacent
}

// mergeInto appends the union of two rising lists without self and gone.
func mergeInto(out, x, y []int32, self, gone int32) []int32 {
	i, j := 0, 0
	for i < len(x) || j < len(y) {
		var v int32
		switch {
		case j == len(y) || i < len(x) && x[i] < y[j]:
			v = x[i]
			i++
		case i == len(x) || y[j] < x[i]:
			v = y[j]
			j++
		default:
			v = x[i]
			i++
			j++
		}
		if v != self && v != gone {
			out = append(out, v)
		}
	}
	return out
}

// queue holds nodes by degree, first come first served within a degree, as doubly linked lists in arrays.
type queue struct {
	next, prev []int32
	degree     []int32
	head, tail []int32
	least      int
}

const none = int32(-1)

func newQueue(count int) *queue {
	q := &queue{next: make([]int32, count), prev: make([]int32, count), degree: make([]int32, count)}
	q.head, q.tail = make([]int32, count+1), make([]int32, count+1)
	for i := range q.head {
		q.head[i], q.tail[i] = none, none
	}
	return q
}

func (q *queue) push(i int32, degree int) {
	q.degree[i] = int32(degree)
	q.next[i], q.prev[i] = none, q.tail[degree]
	if last := q.tail[degree]; last != none {
		q.next[last] = i
	} else {
		q.head[degree] = i
	}
	q.tail[degree] = i
	q.least = min(q.least, degree)
}

func (q *queue) drop(i int32) {
	d, before, after := q.degree[i], q.prev[i], q.next[i]
	if before != none {
		q.next[before] = after
	} else {
		q.head[d] = after
	}
	if after != none {
		q.prev[after] = before
	} else {
		q.tail[d] = before
	}
}

func (q *queue) move(i int32, degree int) {
	if q.degree[i] != int32(degree) {
		q.drop(i)
		q.push(i, degree)
	}
}

// candidates appends the nodes of the least degree there is, and those that go freely; the queue must not be empty.
func (q *queue) candidates(out []int32) []int32 {
	for q.head[q.least] == none {
		q.least++
	}
	for d := q.least; d <= max(q.least, freely) && d < len(q.head); d++ {
		for i := q.head[d]; i != none; i = q.next[i] {
			out = append(out, i)
		}
	}
	return out
}

package faultfind

// system is a small network of conductances, numbered from 0, factored by taking out one node after another.
//
// It is star-mesh elimination kept as a factorization L·D·Lᵀ: what a node meets when its turn comes is divided by the sum
// of it, and that sum is added up anew from its parts instead of being subtracted down to, so milliohms and gigohms stand
// in one network (W. K. Grassmann, M. I. Taksar, D. P. Heyman, "Regenerative analysis and steady state distributions for
// Markov chains", Operations Research 33, 1985; from memory).
type system struct {
	n     int
	g     []float64 // n × n, upper half: conductances, then the shares
	d     []float64 // what node k met when it was taken out; 0 for the last node of a part that hangs together
	meets [][]int32 // the later nodes that k met
	y     [][]float64
}

func (s *system) begin(n int) {
	s.n = n
	if cap(s.g) < n*n {
		s.g = make([]float64, n*n)
	}
	s.g = s.g[:n*n]
	clear(s.g)
	if cap(s.d) < n {
		s.d = make([]float64, n)
	}
	s.d = s.d[:n]
	for len(s.meets) < n {
		s.meets = append(s.meets, nil)
	}
}

func (s *system) add(a, b int32, siemens float64) {
	if a > b {
		a, b = b, a
	}
	if a != b {
		s.g[int(a)*s.n+int(b)] += siemens
	}
}

// factor takes all nodes out.
func (s *system) factor() {
	n := s.n
	for k := range n {
		row := s.g[k*n : k*n+n]
		meets := s.meets[k][:0]
		sum := 0.0
		for j := k + 1; j < n; j++ {
			if v := row[j]; v != 0 {
				meets = append(meets, int32(j))
				sum += v
			}
		}
		s.meets[k], s.d[k] = meets, sum
		for x, i := range meets {
			gi := row[i]
			into := s.g[int(i)*n : int(i)*n+n]
			share := gi / sum
			for _, j := range meets[x+1:] {
				into[j] += float64(share * row[j])
			}
		}
		for _, j := range meets {
			row[j] /= sum
		}
	}
}

// push carries a unit current from a to b through the factors, into slot: what each node passes on.
func (s *system) push(slot int, a, b int32) []float64 {
	for len(s.y) <= slot {
		s.y = append(s.y, nil)
	}
	s.y[slot] = resized(s.y[slot], s.n)
	y := s.y[slot]
	clear(y)
	y[a]++
	y[b]--
	for k := int(min(a, b)); k < s.n; k++ {
		v := y[k]
		if v == 0 {
			continue
		}
		row := s.g[k*s.n : k*s.n+s.n]
		for _, j := range s.meets[k] {
			y[j] += float64(row[j] * v)
		}
	}
	return y
}

// ohm is the resistance between two nodes: push and between in one pass.
func (s *system) ohm(a, b int32) float64 {
	if len(s.y) == 0 {
		s.y = append(s.y, nil)
	}
	n := s.n
	s.y[0] = resized(s.y[0], n)
	y := s.y[0]
	first := int(min(a, b))
	clear(y[first:])
	y[a]++
	y[b]--
	sum := 0.0
	for k := first; k < n; k++ {
		v, d := y[k], s.d[k]
		if v == 0 || d == 0 {
			continue
		}
		sum += float64(v * v / d)
		row := s.g[k*n : k*n+n]
		for _, j := range s.meets[k] {
			y[j] += float64(row[j] * v)
		}
	}
	return sum
}

// between is the voltage that the unit current of y causes across the ends of the unit current of z: with y = z the
// resistance between them.
func (s *system) between(y, z []float64) float64 {
	sum := 0.0
	for k, d := range s.d {
		if d != 0 && y[k] != 0 {
			sum += float64(y[k] * z[k] / d)
		}
	}
	return sum
}

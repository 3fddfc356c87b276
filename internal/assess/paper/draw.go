package paper

import (
	"crypto/sha256"
	"encoding/binary"
	"sort"
)

// Draw is what one candidate gets: the faults that are planted, in the order of the
// paper. It is a function of paper and seed alone: each fault of a pool is ranked by a
// hash of the seed and its place, and the first of the ranking are taken, so that every
// choice of the pool is as likely as any other.
func (p *Paper) Draw(seed uint64) []Fault {
	out := append([]Fault(nil), p.Fixed...)
	for n, pool := range p.Pools {
		type ranked struct {
			rank  uint64
			index int
		}
		rs := make([]ranked, len(pool.From))
		for i := range pool.From {
			rs[i] = ranked{rank(seed, p.ID, n, i), i}
		}
		sort.Slice(rs, func(a, b int) bool {
			if rs[a].rank != rs[b].rank {
				return rs[a].rank < rs[b].rank
			}
			return rs[a].index < rs[b].index
		})
		taken := rs[:min(pool.Take, len(rs))]
		sort.Slice(taken, func(a, b int) bool { return taken[a].index < taken[b].index })
		for _, r := range taken {
			out = append(out, pool.From[r.index])
		}
	}
	return out
}

// rank is the first eight bytes of SHA-256 over the seed, the paper and the place.
func rank(seed uint64, paper string, pool, index int) uint64 {
	b := binary.BigEndian.AppendUint64(nil, seed)
	b = append(b, paper...)
	b = append(b, 0)
	b = binary.BigEndian.AppendUint32(b, uint32(pool))
	b = binary.BigEndian.AppendUint32(b, uint32(index))
	sum := sha256.Sum256(b)
	return binary.BigEndian.Uint64(sum[:8])
}

// Draws counts the different draws of a paper.
func (p *Paper) Draws() int {
	n := 1
	for _, pool := range p.Pools {
		c := 1
		for i := range pool.Take {
			c = c * (len(pool.From) - i) / (i + 1)
		}
		n *= c
	}
	return n
}

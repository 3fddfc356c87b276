package coach

// bits is a fixed-size set of small numbers. Methods that change it return a copy,
// so that states can share what did not change.
type bits []uint64

func newBits(n int) bits { return make(bits, (n+63)/64) }

func (b bits) has(i int) bool { return b[i>>6]&(1<<(i&63)) != 0 }

func (b bits) with(i int) bits {
	c := append(bits(nil), b...)
	c[i>>6] |= 1 << (i & 63)
	return c
}

func (b bits) without(i int) bits {
	c := append(bits(nil), b...)
	c[i>>6] &^= 1 << (i & 63)
	return c
}

func (b bits) empty() bool {
	for _, w := range b {
		if w != 0 {
			return false
		}
	}
	return true
}

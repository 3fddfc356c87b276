package checker

import (
	"crypto/sha256"
	"encoding/binary"
	"slices"
	"sort"
	"strings"
)

// set is a small immutable map of strings, in order of its keys, with a hash of its
// items as far as they can still change a judgement.
type set struct {
	items []item
	sum   sum
	fold  func(k, v string) string // what of an item counts; empty: nothing. nil: all of it
}

type item struct{ k, v string }

// sum is the exclusive or of the hashes of items: the same whatever order they came in.
type sum [2]uint64

func (s *set) hash(i item) sum {
	v := i.v + "!"
	if s.fold != nil {
		if v = s.fold(i.k, i.v); v == "" {
			return sum{}
		}
	}
	h := sha256.Sum256([]byte(i.k + "=" + v))
	return sum{binary.LittleEndian.Uint64(h[:]), binary.LittleEndian.Uint64(h[8:])}
}

func (s *sum) flip(h sum) { s[0], s[1] = s[0]^h[0], s[1]^h[1] }

// appendKey appends the hash.
func (s *set) appendKey(b []byte) []byte {
	var h sum
	if s != nil {
		h = s.sum
	}
	return binary.LittleEndian.AppendUint64(binary.LittleEndian.AppendUint64(b, h[0]), h[1])
}

func (s *set) find(k string) (int, bool) {
	i := sort.Search(len(s.items), func(i int) bool { return s.items[i].k >= k })
	return i, i < len(s.items) && s.items[i].k == k
}

func (s *set) get(k string) string {
	if s != nil {
		if i, ok := s.find(k); ok {
			return s.items[i].v
		}
	}
	return ""
}

func (s *set) has(k string) bool {
	if s == nil {
		return false
	}
	_, ok := s.find(k)
	return ok
}

func (s *set) with(k, v string) *set {
	n := &set{}
	i, there := 0, false
	if s != nil {
		n.fold, n.sum = s.fold, s.sum
		i, there = s.find(k)
		if there && s.items[i].v == v {
			return s
		}
		n.items = make([]item, len(s.items), len(s.items)+1)
		copy(n.items, s.items)
	}
	if there {
		n.sum.flip(n.hash(n.items[i]))
		n.items[i].v = v
	} else {
		n.items = slices.Insert(n.items, i, item{k, v})
	}
	n.sum.flip(n.hash(n.items[i]))
	return n
}

func (s *set) without(match func(k, v string) bool) *set {
	if _, some := s.any(match); !some {
		return s
	}
	return s.rebuilt(func(i item) (item, bool) { return i, !match(i.k, i.v) })
}

func (s *set) changed(f func(k, v string) string) *set {
	if s == nil {
		return nil
	}
	return s.rebuilt(func(i item) (item, bool) { return item{i.k, f(i.k, i.v)}, true })
}

func (s *set) rebuilt(f func(item) (item, bool)) *set {
	n := &set{fold: s.fold, items: make([]item, 0, len(s.items))}
	for _, i := range s.items {
		if to, keep := f(i); keep {
			n.items = append(n.items, to)
			n.sum.flip(n.hash(to))
		}
	}
	return n
}

// String is the items as text.
func (s *set) String() string {
	if s == nil {
		return ""
	}
	words := make([]string, len(s.items))
	for i, it := range s.items {
		words[i] = it.k + "=" + it.v
	}
	return strings.Join(words, ",")
}

func (s *set) any(match func(k, v string) bool) (string, bool) {
	if s == nil {
		return "", false
	}
	for _, i := range s.items {
		if match(i.k, i.v) {
			return i.k, true
		}
	}
	return "", false
}

func all(string, string) bool { return true }

package checker

import (
	"sort"
	"strings"
)

// set is a small immutable map of strings, with its text remembered.
type set struct {
	items map[string]string
	text  string
}

func (s *set) get(k string) string {
	if s == nil {
		return ""
	}
	return s.items[k]
}

func (s *set) has(k string) bool {
	if s == nil {
		return false
	}
	_, ok := s.items[k]
	return ok
}

func (s *set) with(k, v string) *set {
	if s.has(k) && s.get(k) == v {
		return s
	}
	n := &set{items: map[string]string{}}
	if s != nil {
		for a, b := range s.items {
			n.items[a] = b
		}
	}
	n.items[k] = v
	return n.done()
}

func (s *set) without(match func(k, v string) bool) *set {
	if _, some := s.any(match); !some {
		return s
	}
	n := &set{items: map[string]string{}}
	for k, v := range s.items {
		if !match(k, v) {
			n.items[k] = v
		}
	}
	return n.done()
}

func (s *set) changed(f func(k, v string) string) *set {
	if s == nil {
		return nil
	}
	n := &set{items: map[string]string{}}
	for k, v := range s.items {
		n.items[k] = f(k, v)
	}
	return n.done()
}

func (s *set) done() *set {
	keys := make([]string, 0, len(s.items))
	for k, v := range s.items {
		keys = append(keys, k+"="+v)
	}
	sort.Strings(keys)
	s.text = strings.Join(keys, ",")
	return s
}

func (s *set) String() string {
	if s == nil {
		return ""
	}
	return s.text
}

func (s *set) any(match func(k, v string) bool) (string, bool) {
	if s == nil {
		return "", false
	}
	for k, v := range s.items {
		if match(k, v) {
			return k, true
		}
	}
	return "", false
}

func all(string, string) bool { return true }

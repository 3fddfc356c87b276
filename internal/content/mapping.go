package content

import (
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"
)

// AnyKey among the known keys of a map allows every key: the map is a table whose keys are the author's.
const AnyKey = "*"

// Map is a map whose keys were declared. The zero Map, and one read from something that was not a map, is empty and
// complains no further.
type Map struct {
	v    Value
	what string
}

// Map reads the value as a map; what names it in messages ("rig", "circuit"). Each key that is not in known is an error
// with the nearest known one.
func (v Value) Map(what string, known ...string) Map {
	if !v.expect(MapKind) {
		return Map{Value{v.r, nil}, what}
	}
	if !slices.Contains(known, AnyKey) {
		for i := 0; i+1 < len(v.n.Content); i += 2 {
			key := v.n.Content[i]
			if key.Kind == yaml.ScalarNode && !v.r.bad[key] && !slices.Contains(known, key.Value) {
				v.r.fault(key, fmt.Sprintf("%s has no key %q", what, key.Value), DidYouMean(key.Value, known))
			}
		}
	}
	return Map{v, what}
}

// OpenMap reads the value as a map with any keys.
func (v Value) OpenMap(what string) Map { return v.Map(what, AnyKey) }

func lookup(n *yaml.Node, k string) (key, value *yaml.Node) {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Kind == yaml.ScalarNode && n.Content[i].Value == k {
			return n.Content[i], n.Content[i+1]
		}
	}
	return nil, nil
}

// Exists says whether there is a map at all (an optional one may be left out).
func (m Map) Exists() bool { return m.v.n != nil }

// Self is the map as a value, for its place.
func (m Map) Self() Value { return m.v }

// Errorf adds a complaint at the place of the map.
func (m Map) Errorf(hint, format string, args ...any) { m.v.Errorf(hint, format, args...) }

// Has says whether the key is there.
func (m Map) Has(k string) bool {
	_, value := m.find(k)
	return value.n != nil
}

func (m Map) find(k string) (key, value Value) {
	if m.v.n == nil {
		return Value{m.v.r, nil}, Value{m.v.r, nil}
	}
	kn, vn := lookup(m.v.n, k)
	return Value{m.v.r, kn}, Value{m.v.r, vn}
}

// Keys are the keys of the map in the order of the file.
func (m Map) Keys() []string {
	var keys []string
	if m.v.n == nil {
		return nil
	}
	for i := 0; i+1 < len(m.v.n.Content); i += 2 {
		if key := m.v.n.Content[i]; key.Kind == yaml.ScalarNode && !m.v.r.bad[key] {
			keys = append(keys, key.Value)
		}
	}
	return keys
}

// KeyOf is the key itself as a value, for complaints about it.
func (m Map) KeyOf(k string) Value {
	key, _ := m.find(k)
	return key
}

// Opt is the value under an optional key; it is missing when the key is.
func (m Map) Opt(k string) Value {
	_, value := m.find(k)
	return value
}

// Value is the value under a required key.
func (m Map) Value(k string) Value {
	_, value := m.find(k)
	if value.n == nil && m.v.n != nil {
		m.v.Errorf("", "%s needs the key %q", m.what, k)
	}
	return value
}

// Str is the text under a required key; see Value.Str.
func (m Map) Str(k string) string { return m.Value(k).Str() }

// OptStr is the text under an optional key, def when it is missing.
func (m Map) OptStr(k, def string) string { return opt(m, k, def, Value.Str) }

// Name is the one-line text under a required key; see Value.Name.
func (m Map) Name(k string) string { return m.Value(k).Name() }

// OptName is the one-line text under an optional key, def when it is missing.
func (m Map) OptName(k, def string) string { return opt(m, k, def, Value.Name) }

// Int is the whole number under a required key.
func (m Map) Int(k string) int { return m.Value(k).Int() }

// OptInt is the whole number under an optional key, def when it is missing.
func (m Map) OptInt(k string, def int) int { return opt(m, k, def, Value.Int) }

// Decimal is the plain decimal number under a required key.
func (m Map) Decimal(k string) float64 { return m.Value(k).Decimal() }

// OptDecimal is the plain decimal number under an optional key, def when it is missing.
func (m Map) OptDecimal(k string, def float64) float64 { return opt(m, k, def, Value.Decimal) }

// Bool is the truth value under a required key.
func (m Map) Bool(k string) bool { return m.Value(k).Bool() }

// OptBool is the truth value under an optional key, def when it is missing.
func (m Map) OptBool(k string, def bool) bool { return opt(m, k, def, Value.Bool) }

// OneOf is the word of a closed list under a required key.
func (m Map) OneOf(k string, words ...string) string { return m.Value(k).OneOf(words...) }

// OptOneOf is the word of a closed list under an optional key, def when it is missing.
func (m Map) OptOneOf(k, def string, words ...string) string {
	return opt(m, k, def, func(v Value) string { return v.OneOf(words...) })
}

// Raw is the text of the scalar under a required key as written, with its place; see Value.Raw.
func (m Map) Raw(k string) (string, Value) {
	v := m.Value(k)
	return v.Raw(), v
}

// OptRaw is Raw for an optional key, def when it is missing.
func (m Map) OptRaw(k, def string) (string, Value) {
	v := m.Opt(k)
	if v.n == nil {
		return def, v
	}
	return v.Raw(), v
}

// List is the items under a required key.
func (m Map) List(k string) []Value { return m.Value(k).List() }

// OptList is the items under an optional key, none when it is missing.
func (m Map) OptList(k string) []Value { return opt(m, k, nil, Value.List) }

// Strs is the list of texts under a required key.
func (m Map) Strs(k string) []string { return m.Value(k).Strs() }

// OptStrs is the list of texts under an optional key.
func (m Map) OptStrs(k string) []string { return opt(m, k, nil, Value.Strs) }

// Map is the map under a required key, named after it in messages.
func (m Map) Map(k string, known ...string) Map { return m.Value(k).Map(k, known...) }

// OptMap is the map under an optional key; see Exists.
func (m Map) OptMap(k string, known ...string) Map { return m.Opt(k).Map(k, known...) }

func opt[T any](m Map, k string, def T, read func(Value) T) T {
	v := m.Opt(k)
	if v.n == nil {
		return def
	}
	return read(v)
}

// Package content reads the YAML that sequences, rigs, edition packs and words are written in.
//
// It is the only package that imports yaml.v3. A file is parsed to a node tree and walked by hand, because decoding
// into structs loses what an author needs to be told: the column, the source line, dropped nulls, duplicate keys,
// numbers that silently changed. Every value keeps its place, so a complaint made long after parsing still points at
// the text that caused it.
//
// The accepted language is a small part of YAML: one document of maps, lists and scalars. Anchors, aliases, merge
// keys, tags, nulls and duplicate keys are errors: each of them lets a file mean something other than what it shows.
package content

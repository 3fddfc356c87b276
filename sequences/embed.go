// Package sequences holds the content that ships with the program, as YAML a trainer can read and change: test
// sequences at the top, rigs, edition packs with limits and tables, words, and the JSON Schemas for editors. There is
// no code here: an overlay folder given by --content mirrors this one and wins by name.
package sequences

import "embed"

// FS is this folder, without what is for people to read.
//
//go:embed *.yaml papers/*.yaml marking/*.yaml glossary/*.yaml mistakes/*.yaml rigs/*.yaml exercises/*.yaml editions/*.yaml words/*/*.yaml safety/*/*.yaml translations/*/*.yaml translations/*/*/*.yaml pages/*/*.md schema/*.json
var FS embed.FS

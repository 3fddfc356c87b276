package record

import (
	"wanderlead/internal/content"
	"wanderlead/internal/sequence"
)

// page is a sequence with the text it was read from.
type page struct {
	seq  *sequence.Sequence
	text string
	err  error
}

// pages reads each sequence once.
type pages struct {
	lib  *content.Library
	read map[string]page
}

// deepest is how deep includes are followed ahead of being asked for; unrolling has a bound of its own, and complains.
const deepest = 20

// withIncludes reads a sequence with all that it includes. Whether a rig needs each of them is not known yet, and what is
// wrong with one is told when it is asked for.
func (p *pages) withIncludes(name string, depth int) {
	if _, have := p.read[name]; have || depth > deepest {
		return
	}
	if got := p.get(name); got.err == nil {
		for _, in := range got.seq.Includes() {
			p.withIncludes(in.Name, depth+1)
		}
	}
}

func (p *pages) get(name string) page {
	got, have := p.read[name]
	if !have {
		got = p.load(name)
		p.read[name] = got
	}
	return got
}

func (p *pages) load(name string) page {
	file := name + ".yaml"
	data, err := p.lib.Read(file)
	if err == nil {
		var s *sequence.Sequence
		if s, err = sequence.ParseReader(p.lib.Parse(file, data)); err == nil && s.ID == name {
			return page{s, string(data), nil}
		}
	}
	// The loader knows where the file lies and what else there is.
	if _, told := sequence.Load(p.lib, name); told != nil {
		err = told
	}
	return page{err: err}
}

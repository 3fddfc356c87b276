package paper

import "wanderlead/internal/content"

const levelFile = "marking/difficulty.yaml"

// LoadLevels reads how hard each kind of fault is to find, from 1 to 3.
func LoadLevels(lib *content.Library) (map[string]int, error) {
	r, err := lib.Open(levelFile)
	if err != nil {
		return nil, err
	}
	m := r.Root().Map("difficulty", "difficulty", "status", "levels")
	m.Name("difficulty")
	m.Name("status")
	out := map[string]int{}
	for _, v := range m.List("levels") {
		lm := v.Map("level", "level", "kinds")
		n := lm.Int("level")
		for _, kv := range lm.List("kinds") {
			kind := kv.Name()
			if out[kind] != 0 {
				kv.Errorf("", "%s has two levels", kind)
			}
			out[kind] = n
		}
	}
	return out, r.Err()
}

// At is where the paper was written.
func (p *Paper) At() content.Value { return p.at }

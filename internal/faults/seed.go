package faults

import (
	"hash/fnv"
	"io"
	"slices"
	"strconv"

	"wanderlead/internal/rig"
)

// Seeded draws up to count different faults that make sense on the rig, each by a hash of the seed and its number, so
// that one seed always plants the same. Visible, if not nil, says which kinds may be drawn.
func Seeded(r *rig.Rig, seed uint64, count int, visible func(Kind) bool) []Planting {
	var all []Planting
	for _, k := range Kinds() {
		if visible != nil && !visible(k) {
			continue
		}
		if len(k.Shapes) == 0 {
			if Fits(r, "", k.ID) == nil {
				all = append(all, Planting{Kind: k.ID})
			}
			continue
		}
		for _, c := range r.Circuits {
			if Fits(r, c.ID, k.ID) == nil {
				all = append(all, Planting{Kind: k.ID, Circuit: c.ID})
			}
		}
	}
	var out []Planting
	for i := 0; i < count && len(all) > 0; i++ {
		h := fnv.New64a()
		io.WriteString(h, strconv.FormatUint(seed, 10)+"\x00"+strconv.Itoa(i)+"\x00"+r.ID)
		at := int((h.Sum64() >> 16) % uint64(len(all)))
		out = append(out, all[at])
		all = slices.Delete(all, at, at+1)
	}
	return out
}

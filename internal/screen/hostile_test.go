package screen_test

import (
	"testing"

	"wanderlead/internal/hostile"
	"wanderlead/internal/screen"
	"wanderlead/safety"
	"wanderlead/sequences"
)

// readSafetyTexts reads a file as each of the two that may add to or translate what the safety questions say.
func readSafetyTexts(t testing.TB, languages ...string) func([]byte) error {
	return func(data []byte) error {
		var last error
		for _, language := range languages {
			for _, name := range []string{"questions.yaml", "cautions.yaml"} {
				_, err := screen.LoadTexts(hostile.Library(sequences.FS, "safety/"+language+"/"+name, data), language)
				if bad := hostile.Said(err); bad != "" {
					t.Errorf("%s/%s: %s", language, name, bad)
				}
				last = err
			}
		}
		return last
	}
}

func TestHostileSafetyTexts(t *testing.T) { hostile.Each(t, readSafetyTexts(t, "cy")) }

func FuzzSafetyTexts(f *testing.F) {
	hostile.Seed(f, safety.Texts, ".")
	read := readSafetyTexts(f, screen.English, "cy")
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(read(data)); bad != "" {
			t.Error(bad)
		}
	})
}

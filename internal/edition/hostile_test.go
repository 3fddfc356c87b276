package edition_test

import (
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/hostile"
	"wanderlead/sequences"
)

func readPack() func([]byte) error {
	return func(data []byte) error {
		p, err := edition.Load(hostile.Library(sequences.FS, "editions/own.yaml", data), "own")
		if err != nil {
			return err
		}
		_, err = p.ParseDevice("B32")
		_, _ = p.Notice(), p.SizesText()
		return err
	}
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readPack()) }

// FuzzPack: no pack makes the loader panic or say what acts on a terminal.
func FuzzPack(f *testing.F) {
	hostile.Seed(f, sequences.FS, "editions")
	f.Add([]byte("edition: own\ntitle: Own\nbase: bs7671-2018-a4\n"))
	f.Add([]byte("edition: own\ntitle: Own\nbase: own\n"))
	read := readPack()
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(read(data)); bad != "" {
			t.Error(bad)
		}
	})
}

// FuzzDevice: whatever is typed as a protective device, the answer is a device with a limit or a complaint that acts on
// no terminal.
func FuzzDevice(f *testing.F) {
	for _, s := range []string{"B32", "C6", "D125", "b 32", "B", "B0", "B-1", "B1e9", "BNaN", "B32.", "gG 30", "1361-30", "\x1b[2J", "B\u202e23", "B32\x00", "Ｂ32", "B٣٢", "B999999999999999999999"} {
		f.Add(s)
	}
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		f.Fatal(err)
	}
	pack, err := edition.Load(lib, "")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := pack.ParseDevice(text)
		if bad := hostile.Said(err); bad != "" {
			t.Error(bad)
		}
		if err != nil {
			return
		}
		for _, timeS := range []float64{0.4, 5} {
			l, err := pack.Zs(d, timeS, 230)
			if bad := hostile.Said(err); bad != "" {
				t.Error(bad)
			}
			if v := l.Measured; err == nil && !(v > 0 && v <= l.Exact) {
				t.Errorf("%q has a limit of %v ohm", text, v)
			}
		}
	})
}

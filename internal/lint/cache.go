package lint

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"

	"wanderlead/internal/own"
)

// This file is the shell of the package: the disk stands here and nowhere else.

// DirCache keeps what walks found as files in a folder, one a walk. What cannot be read or written is walked again.
type DirCache struct{ Dir string }

// UserCache is a cache in the user's cache folder (XDG_CACHE_HOME where that is the custom), nil when there is none.
func UserCache() Cache {
	dir, err := os.UserCacheDir()
	if err != nil {
		return nil
	}
	return DirCache{filepath.Join(dir, "wanderlead", "walks")}
}

// maxWalked is the largest walk read, in bytes: thousands of times what one takes.
const maxWalked = 1 << 20

// Get reads a walk.
func (c DirCache) Get(key string) (Walked, bool) {
	data, err := own.Read(c.file(key), maxWalked)
	if err != nil {
		return Walked{}, false
	}
	var w Walked
	if json.Unmarshal(data, &w) != nil || w.States == 0 {
		return Walked{}, false
	}
	return w, true
}

// Put writes a walk, whole or not at all.
func (c DirCache) Put(key string, w Walked) {
	data, err := json.Marshal(w)
	if err != nil || os.MkdirAll(c.Dir, 0o700) != nil {
		return
	}
	f, err := os.CreateTemp(c.Dir, "new-*")
	if err != nil {
		return
	}
	_, err = f.Write(append(data, '\n'))
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Rename(f.Name(), c.file(key))
	}
	if err != nil {
		_ = os.Remove(f.Name())
	}
}

func (c DirCache) file(key string) string { return filepath.Join(c.Dir, key+".json") }

// ProgramMark tells one build of the program from another: what it was built from, and the size and time of its file.
// Hashing the file itself would take longer than everything else at a start. It is empty when the file cannot be found.
func ProgramMark() string {
	name, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(name)
	if err != nil {
		return ""
	}
	h := sha256.New()
	if b, ok := debug.ReadBuildInfo(); ok {
		fmt.Fprintln(h, b.String())
	}
	fmt.Fprintln(h, info.Size(), info.ModTime().UnixNano())
	return hex.EncodeToString(h.Sum(nil))
}

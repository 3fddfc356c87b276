package app

import (
	"crypto/rand"
	"encoding/hex"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
)

type cryptoRandom struct{}

func (cryptoRandom) Read(b []byte) (int, error) { return rand.Read(b) }

// release is the version of a released program; .ci/release sets it when it links.
var release string

// version is that of the release, or the module version, or the commit it was built
// from.
func version() string {
	if release != "" {
		return release
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return "devel-" + s.Value[:12]
		}
	}
	return "devel"
}

// sessionID is a random name for a session; it also salts its hidden codes.
func sessionID(r io.Reader) (string, error) {
	b := make([]byte, 8)
	if _, err := io.ReadFull(r, b); err != nil {
		return "", err
	}
	return hex.EncodeToString(b), nil
}

// recordsDir is where records are kept when no --journal is given: the state folder
// of the XDG base directory specification, or the usual one of the other systems.
func (s Sys) recordsDir() string { return s.recordsDirOn(runtime.GOOS) }

func (s Sys) recordsDirOn(system string) string {
	if d := s.Getenv("XDG_STATE_HOME"); filepath.IsAbs(d) {
		return filepath.Join(d, "wanderlead", "records")
	}
	home := s.Getenv("HOME")
	switch system {
	case "windows":
		if d := s.Getenv("LocalAppData"); d != "" {
			return filepath.Join(d, "wanderlead", "records")
		}
		home = s.Getenv("USERPROFILE")
	case "darwin":
		if home != "" {
			return filepath.Join(home, "Library", "Application Support", "wanderlead", "records")
		}
	}
	if home == "" {
		home = os.TempDir()
	}
	return filepath.Join(home, ".local", "state", "wanderlead", "records")
}

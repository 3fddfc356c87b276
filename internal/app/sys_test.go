package app

import (
	"path/filepath"
	"testing"
)

// Where records are kept: XDG Base Directory Specification 0.8 (state is
// $XDG_STATE_HOME, by default $HOME/.local/state; a path that is not absolute is to be
// ignored), and the usual folders of the other systems (common practice, no source).
func TestRecordsDir(t *testing.T) {
	home, state, local := filepath.Join(t.TempDir(), "home"), t.TempDir(), t.TempDir()
	for _, c := range []struct {
		system string
		env    map[string]string
		want   string
	}{
		{"linux", map[string]string{"HOME": home}, filepath.Join(home, ".local", "state")},
		{"linux", map[string]string{"HOME": home, "XDG_STATE_HOME": state}, state},
		{"linux", map[string]string{"HOME": home, "XDG_STATE_HOME": "relative/state"}, filepath.Join(home, ".local", "state")},
		{"linux", map[string]string{"HOME": home, "LocalAppData": local}, filepath.Join(home, ".local", "state")},
		{"darwin", map[string]string{"HOME": home}, filepath.Join(home, "Library", "Application Support")},
		{"darwin", map[string]string{"HOME": home, "XDG_STATE_HOME": state}, state},
		{"windows", map[string]string{"LocalAppData": local, "USERPROFILE": home}, local},
		{"windows", map[string]string{"USERPROFILE": home}, filepath.Join(home, ".local", "state")},
	} {
		s := Sys{Getenv: func(k string) string { return c.env[k] }}
		if got, want := s.recordsDirOn(c.system), filepath.Join(c.want, "wanderlead", "records"); got != want {
			t.Errorf("%s %v: %s, want %s", c.system, c.env, got, want)
		}
	}
}

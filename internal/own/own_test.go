//go:build unix

package own

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func TestFilesAreTheirOwnersAlone(t *testing.T) {
	dir := t.TempDir()
	old := syscall.Umask(0)
	defer syscall.Umask(old)
	made, grown := filepath.Join(dir, "made"), filepath.Join(dir, "grown")
	if err := errors.Join(Create(made, []byte("a")), Append(grown, []byte("a")), Append(grown, []byte("b"))); err != nil {
		t.Fatal(err)
	}
	for _, p := range []string{made, grown} {
		if info, err := os.Stat(p); err != nil || info.Mode() != Mode {
			t.Errorf("%s: %v, %v", p, info.Mode(), err)
		}
	}
	if err := Create(made, []byte("b")); !errors.Is(err, fs.ErrExist) {
		t.Errorf("over an existing file: %v", err)
	}
	for p, want := range map[string]string{made: "a", grown: "ab"} {
		if got, err := Read(p, 2); err != nil || string(got) != want {
			t.Errorf("%s holds %q, %v", p, got, err)
		}
	}
	if _, err := Read(grown, 1); err == nil || !strings.Contains(err.Error(), "more than 1 bytes") {
		t.Errorf("two bytes where one is read: %v", err)
	}
	if _, err := Named(grown, 1); err == nil {
		t.Error("two bytes where one is read")
	}
	if _, err := Read(filepath.Join(dir, "none"), 1); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no file: %v", err)
	}
}

// TestLinksAndPipes: a link to somebody's file in place of ours gets nothing written through it and is not read; a pipe is
// refused rather than waited on.
func TestLinksAndPipes(t *testing.T) {
	dir := t.TempDir()
	other, link, dangling, pipe := filepath.Join(dir, "other"), filepath.Join(dir, "link"), filepath.Join(dir, "dangling"), filepath.Join(dir, "pipe")
	if err := os.WriteFile(other, []byte("theirs"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(os.Symlink(other, link), os.Symlink(filepath.Join(dir, "new"), dangling), syscall.Mkfifo(pipe, 0o600)); err != nil {
		t.Skip("no links or pipes here: ", err)
	}
	for _, p := range []string{link, dangling, pipe} {
		if Create(p, []byte("x")) == nil || Append(p, []byte("x")) == nil {
			t.Errorf("%s was written to", p)
		}
		if _, err := Read(p, 100); err == nil {
			t.Errorf("%s was read", p)
		}
	}
	if got, err := os.ReadFile(other); err != nil || string(got) != "theirs" {
		t.Errorf("the other file holds %q, %v", got, err)
	}
	if _, err := os.Lstat(filepath.Join(dir, "new")); err == nil {
		t.Error("a file was made through a dangling link")
	}
	if got, err := Named(link, 100); err != nil || string(got) != "theirs" {
		t.Errorf("a link that the user named: %q, %v", got, err)
	}
	if _, err := Named(pipe, 100); err == nil {
		t.Error("a named pipe was read")
	}
}

// TestReplaced: a file is replaced whole, and where that fails the old one stays; a link in its place is replaced, not
// written through.
func TestReplaced(t *testing.T) {
	dir := t.TempDir()
	path, other, link := filepath.Join(dir, "memory"), filepath.Join(dir, "other"), filepath.Join(dir, "link")
	if err := errors.Join(Replace(path, []byte("a")), Replace(path, []byte("b")), Create(other, []byte("theirs")), os.Symlink(other, link), Replace(link, []byte("c"))); err != nil {
		t.Fatal(err)
	}
	for p, want := range map[string]string{path: "b", other: "theirs", link: "c"} {
		info, err := os.Lstat(p)
		if err != nil || info.Mode() != Mode {
			t.Errorf("%s: %v, %v", p, info.Mode(), err)
		}
		if got, err := os.ReadFile(p); err != nil || string(got) != want {
			t.Errorf("%s holds %q, %v", p, got, err)
		}
	}
	folder := filepath.Join(dir, "folder")
	if err := os.MkdirAll(filepath.Join(folder, "in it"), 0o700); err != nil {
		t.Fatal(err)
	}
	if Replace(folder, []byte("x")) == nil {
		t.Error("a folder was replaced by a file")
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*.tmp")); len(left) != 0 {
		t.Errorf("left over: %v", left)
	}
}

// TestFolders: a folder is made for its owner alone, with what is missing above it; a link or a file in its place is an error.
func TestFolders(t *testing.T) {
	dir := t.TempDir()
	old := syscall.Umask(0)
	defer syscall.Umask(old)
	deep, link, file := filepath.Join(dir, "a", "b"), filepath.Join(dir, "link"), filepath.Join(dir, "file")
	if err := errors.Join(Folder(deep), Folder(deep), os.Symlink(deep, link), Create(file, nil)); err != nil {
		t.Fatal(err)
	}
	for _, p := range []string{deep, filepath.Dir(deep)} {
		if info, err := os.Stat(p); err != nil || info.Mode() != os.ModeDir|FolderMode {
			t.Errorf("%s: %v, %v", p, info.Mode(), err)
		}
	}
	for _, p := range []string{link, file} {
		if err := Folder(p); err == nil {
			t.Errorf("%s was taken for a folder of ours", p)
		}
	}
}

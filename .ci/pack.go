//go:build ignore

// pack packs a folder into an archive with nothing in it that is of the day or the
// machine: names sorted, one time for all, owner nobody in particular, modes 0644 and
// 0755.
//
//	go run .ci/pack.go OUT.tar.gz|OUT.zip FOLDER SECONDS
//
// FOLDER is packed under its own name; SECONDS is the time since 1970.
package main

import (
	"archive/tar"
	"archive/zip"
	"compress/gzip"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

func main() {
	if err := pack(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "pack:", err)
		os.Exit(1)
	}
}

func pack(args []string) error {
	if len(args) != 3 {
		return fmt.Errorf("%d arguments; OUT FOLDER SECONDS would be right", len(args))
	}
	seconds, err := strconv.ParseInt(args[2], 10, 64)
	if err != nil {
		return err
	}
	out, err := os.Create(args[0])
	if err != nil {
		return err
	}
	defer out.Close()
	var w packer
	var gz *gzip.Writer
	if strings.HasSuffix(args[0], ".zip") {
		w = zipped{zip.NewWriter(out)}
	} else {
		gz, _ = gzip.NewWriterLevel(out, gzip.BestCompression) // its header holds no name and no time
		w = tarred{tar.NewWriter(gz)}
	}
	at := time.Unix(seconds, 0).UTC()
	base := filepath.Dir(filepath.Clean(args[1]))
	err = filepath.WalkDir(args[1], func(path string, d fs.DirEntry, err error) error { // in the order of the names
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(base, path)
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		mode := fs.FileMode(0o644)
		if info.Mode()&0o100 != 0 {
			mode = 0o755
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		return w.add(filepath.ToSlash(name), mode, at, data)
	})
	if err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return err
	}
	if gz != nil {
		if err := gz.Close(); err != nil {
			return err
		}
	}
	return out.Close()
}

type packer interface {
	add(name string, mode fs.FileMode, at time.Time, data []byte) error
	io.Closer
}

type tarred struct{ *tar.Writer }

func (t tarred) add(name string, mode fs.FileMode, at time.Time, data []byte) error {
	h := &tar.Header{Typeflag: tar.TypeReg, Name: name, Mode: int64(mode), ModTime: at, Size: int64(len(data)), Format: tar.FormatPAX}
	if err := t.WriteHeader(h); err != nil {
		return err
	}
	_, err := t.Write(data)
	return err
}

type zipped struct{ *zip.Writer }

func (z zipped) add(name string, mode fs.FileMode, at time.Time, data []byte) error {
	h := &zip.FileHeader{Name: name, Method: zip.Deflate, Modified: at}
	h.SetMode(mode)
	w, err := z.CreateHeader(h)
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

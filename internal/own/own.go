// Package own reads and writes files that are their owner's alone: nobody else may open what it makes, no link is
// followed, no pipe is waited on, and nothing is written over.
package own

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// Mode and FolderMode are those of what is made.
const (
	Mode       fs.FileMode = 0o600
	FolderMode fs.FileMode = 0o700
)

// Create writes a new file and sees it onto the disk. The error is [fs.ErrExist] where something has the name, were it a
// link; what could not be written whole is taken away again.
func Create(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL|NoFollow, Mode)
	if err != nil {
		return err
	}
	if err = finish(f, data); err != nil {
		err = errors.Join(err, os.Remove(path))
	}
	return err
}

// Append adds to a file, which it makes if there is none, and sees it onto the disk. The error is that of a link, a
// folder, a device, or the disk.
func Append(path string, data []byte) error {
	if err := plainFile(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_APPEND|NoFollow|NoWait, Mode)
	if err != nil {
		return err
	}
	return finish(f, data)
}

func finish(f *os.File, data []byte) error {
	_, err := f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// Read reads a file of at most limit bytes. The error is that of a link, a folder, a device, a larger file, or the disk;
// it wraps [fs.ErrNotExist] where there is none.
func Read(path string, limit int64) ([]byte, error) {
	if err := plainFile(path); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_RDONLY|NoFollow|NoWait, 0)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return all(f, path, limit)
}

// Named is Read for a file that the user named: a link is followed there, as with any command.
func Named(path string, limit int64) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is no plain file", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return all(f, path, limit)
}

func all(f *os.File, path string, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("%s has more than %d bytes\nhint: is it the right file?", path, limit)
	}
	return data, nil
}

// plainFile looks before a file is opened: opening a pipe would wait, and where the system knows no flag against links
// this look is what there is.
func plainFile(path string) error {
	info, err := os.Lstat(path)
	switch {
	case err != nil:
		return err
	case info.Mode()&fs.ModeSymlink != 0:
		return fmt.Errorf("%s is a link, and links are not followed here\nhint: name the file itself", path)
	case !info.Mode().IsRegular():
		return fmt.Errorf("%s is no plain file", path)
	}
	return nil
}

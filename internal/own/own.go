// Package own reads and writes files that are their owner's alone: nobody else may open what it makes, no link is
// followed, no pipe is waited on, and nothing is written over.
//
// On Windows some of this is the system's business, not ours:
//
//   - There are no modes. A new file has the access list of its folder; the usual folder for records is in the user's
//     profile, which others cannot read unless an administrator said so. A folder named with --journal or --dir is
//     the user's choice.
//   - There is no flag against links. Making a file is exclusive all the same (CREATE_NEW), so nothing is written through a
//     link that is there; reading and adding look first and open after, and whoever can put a link into the folder in
//     between (which takes a privilege there, as making links does) is not stopped.
//   - Names of devices (CON, NUL, COM1) are refused as no plain files where the system says that they are none.
//   - An open file can be neither removed nor replaced: a lock file is removed after it is closed, and a memory that a
//     virus scanner holds open is an error that is told, with the old memory left as it is.
package own

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
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

// Folder makes a folder and what is missing above it. The error is that of a link in its place, of something else, or of the
// disk: whoever could put a link there would choose where the files go.
func Folder(path string) error {
	if err := os.MkdirAll(path, FolderMode); err != nil {
		return err
	}
	info, err := os.Lstat(path)
	switch {
	case err != nil:
		return err
	case info.Mode()&fs.ModeSymlink != 0:
		return fmt.Errorf("%s is a link, and links are not followed here\nhint: make it a folder, or link the folder above it", path)
	case !info.IsDir():
		return fmt.Errorf("%s is no folder", path)
	}
	return nil
}

// Replace writes a file whole or not at all, in place of one that may be there: a crash leaves the old one or the new one. A
// link in its place is replaced, not followed.
func Replace(path string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".*.tmp")
	if err != nil {
		return err
	}
	if err = finish(f, data); err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
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

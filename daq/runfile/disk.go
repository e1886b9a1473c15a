package runfile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
)

// The endings of a run's files.
const (
	csvExt  = ".csv"
	metaExt = ".csv-metadata.json"
	partExt = ".csv.part" // while the run is being written
	cutExt  = ".csv.cut"  // what a repair cut off, where that held whole lines
	tmpExt  = ".tmp"      // added to the name of a description being written
)

// Disk is what the recorder asks of the folder that it writes to. Tests put one in
// its place that fails or hangs.
type Disk interface {
	Create(name string) (File, error) // a new file, locked for this program; refuses one that exists
	Rename(from, to string) error
	Remove(name string) error
	Sync() error // makes creations, renames and removals last
}

// File is a file that a [Disk] made.
type File interface {
	WriteAt(p []byte, at int64) (int, error)
	Truncate(size int64) error
	Sync() error // makes what was written last
	Close() error
}

// errBusy says that another program holds the lock of a file.
var errBusy = errors.New("another program is writing it")

// folder is a Disk in earnest.
type folder struct{ root *os.Root }

func (d folder) Create(name string) (File, error) {
	file, err := d.root.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o644)
	if err != nil {
		return nil, err
	}
	if err := d.hold(file, name); err != nil {
		file.Close()
		return nil, err
	}
	return file, nil
}

// hold locks file and makes sure that it still is the one called name: a repair by
// another program could have taken it before the lock was there.
func (d folder) hold(file *os.File, name string) error {
	if err := lock(file); err != nil {
		return fmt.Errorf("lock %s: %w", name, err)
	}
	mine, err := file.Stat()
	if err != nil {
		return err
	}
	there, err := d.root.Lstat(name)
	if err != nil {
		return err
	}
	if !os.SameFile(mine, there) {
		return fmt.Errorf("lock %s: %w", name, errBusy)
	}
	return nil
}

func (d folder) Rename(from, to string) error { return d.root.Rename(from, to) }

func (d folder) Remove(name string) error { return d.root.Remove(name) }

func (d folder) Sync() error {
	self, err := d.root.Open(".")
	if err != nil {
		return err
	}
	defer self.Close()
	return self.Sync()
}

// Hold takes a folder of runs for this program until the answer is closed, or the program
// ends, however it ends. It refuses a folder that another one records into. Where a folder
// cannot be locked, as on some network disks, it holds nothing and says nothing: each run
// is still locked by itself.
func Hold(dir *os.Root) (io.Closer, error) {
	self, err := dir.Open(".")
	if err != nil {
		return nil, err
	}
	if errors.Is(lock(self), errBusy) {
		self.Close()
		return nil, fmt.Errorf("another joulewell records into %s", dir.Name())
	}
	return self, nil
}

// Idle refuses a folder in which a run is being recorded, by this program or another.
func Idle(dir *os.Root) error {
	entries, err := fs.ReadDir(dir.FS(), ".")
	if err != nil {
		return fmt.Errorf("look into %s: %w", dir.Name(), err)
	}
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), partExt) {
			continue
		}
		part, err := dir.OpenFile(e.Name(), os.O_RDWR, 0)
		if err != nil {
			continue // gone since, or nothing to write
		}
		err = lock(part)
		part.Close()
		if errors.Is(err, errBusy) {
			return fmt.Errorf("a run is being recorded in %s: stop it first", dir.Name())
		}
	}
	return nil
}

// Replace puts a file with this text at name in dir, all at once: whoever opens name finds
// the old text or the new one, also after a power cut.
func Replace(dir *os.Root, name string, text []byte) error { return replace(folder{dir}, name, text) }

// replace puts a file with this text at name, all at once: whoever opens name finds
// the old text or the new one, also after a power cut.
func replace(d Disk, name string, text []byte) error {
	file, err := draft(d, name, text)
	if err != nil {
		return err
	}
	err = file.Sync()
	if e := file.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = d.Rename(name+tmpExt, name)
	}
	if err != nil {
		d.Remove(name + tmpExt)
		return err
	}
	return d.Sync()
}

// place puts a file with this text at name, where there was none, at once, and does not
// wait until it would outlive a power cut: [lasting] does.
func place(d Disk, name string, text []byte) (File, error) {
	file, err := draft(d, name, text)
	if err != nil {
		return nil, err
	}
	if err := d.Rename(name+tmpExt, name); err != nil {
		file.Close()
		d.Remove(name + tmpExt)
		return nil, err
	}
	return file, nil
}

// lasting makes a file that was placed last, and closes it.
func lasting(d Disk, file File) error {
	err := file.Sync()
	if e := file.Close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	return d.Sync()
}

// draft writes text beside name.
func draft(d Disk, name string, text []byte) (File, error) {
	tmp := name + tmpExt
	if err := d.Remove(tmp); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	file, err := d.Create(tmp)
	if err != nil {
		return nil, err
	}
	n, err := file.WriteAt(text, 0)
	if err == nil && n < len(text) {
		err = io.ErrShortWrite
	}
	if err != nil {
		file.Close()
		d.Remove(tmp)
		return nil, err
	}
	return file, nil
}

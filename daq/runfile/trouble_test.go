package runfile

import (
	"io"
	"os"
	"strings"
	"sync"
	"syscall"
)

// rule decides what becomes of one call to the disk: nil lets it pass, else it
// returns this error. A write of size bytes is done up to the first n before it fails.
type rule func(op, name string, size int) (n int, err error)

// troubledDisk is a real folder behind a rule.
type troubledDisk struct {
	folder
	rule rule
}

type troubledFile struct {
	File
	name string
	rule rule
}

func (d troubledDisk) Create(name string) (File, error) {
	if _, err := d.rule("create", name, 0); err != nil {
		return nil, err
	}
	f, err := d.folder.Create(name)
	if err != nil {
		return nil, err
	}
	return troubledFile{f, name, d.rule}, nil
}

func (d troubledDisk) Rename(from, to string) error {
	if _, err := d.rule("rename", from, 0); err != nil {
		return err
	}
	return d.folder.Rename(from, to)
}

func (d troubledDisk) Remove(name string) error {
	if _, err := d.rule("remove", name, 0); err != nil {
		return err
	}
	return d.folder.Remove(name)
}

// Sync only asks the rule: no test here cuts the power.
func (d troubledDisk) Sync() error {
	_, err := d.rule("sync", ".", 0)
	return err
}

func (f troubledFile) WriteAt(p []byte, at int64) (int, error) {
	n, err := f.rule("write", f.name, len(p))
	if err == io.ErrShortWrite { // a disk that takes less and does not say why
		n, _ = f.File.WriteAt(p[:n], at)
		return n, nil
	}
	if err != nil {
		n, _ = f.File.WriteAt(p[:n], at)
		return n, err
	}
	return f.File.WriteAt(p, at)
}

func (f troubledFile) Truncate(size int64) error {
	if _, err := f.rule("truncate", f.name, 0); err != nil {
		return err
	}
	return f.File.Truncate(size)
}

func (f troubledFile) Sync() error {
	_, err := f.rule("sync", f.name, 0)
	return err
}

func (f troubledFile) Close() error {
	_, err := f.rule("close", f.name, 0)
	if e := f.File.Close(); err == nil {
		err = e
	}
	return err
}

// breakage is one way in which a disk fails.
type breakage struct {
	name string
	part float64 // share of a write that is done before it fails
	err  error
}

var breakages = []breakage{
	{"full, nothing written", 0, syscall.ENOSPC},
	{"full in mid-row", 0.55, syscall.ENOSPC},
	{"input/output in mid-row", 0.3, syscall.EIO},
	{"short without a reason", 0.7, io.ErrShortWrite},
}

// from fails count calls from the n-th on, and tells whether it came to that.
func (b breakage) from(n, count int) (rule, func() bool) {
	var mu sync.Mutex
	calls := 0
	apply := func(op, name string, size int) (int, error) {
		mu.Lock()
		defer mu.Unlock()
		calls++
		if calls < n || calls >= n+count {
			return size, nil
		}
		return int(float64(size) * b.part), b.err
	}
	reached := func() bool {
		mu.Lock()
		defer mu.Unlock()
		return calls >= n
	}
	return apply, reached
}

func isPart(name string) bool { return strings.HasSuffix(name, partExt) }

func troubled(dir *os.Root, r rule) troubledDisk { return troubledDisk{folder{dir}, r} }

package runfile

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"
)

// ErrNoRun is wrapped when there is no run of the name asked for.
var ErrNoRun = errors.New("no such run")

// Info is one line of the index of runs.
type Info struct {
	Name     string    `json:"name"`     // without extension
	File     string    `json:"file"`     // the CSV file
	MetaFile string    `json:"metadata"` // its description; empty when there is none
	Size     int64     `json:"size"`     // [bytes] of the CSV file
	Title    string    `json:"title"`
	Bench    string    `json:"bench"`
	Created  time.Time `json:"created"`
	Rows     uint64    `json:"rows"`     // [1]
	Length   float64   `json:"length_s"` // [s] from the first row to the last
	Complete bool      `json:"complete"`
	Virtual  bool      `json:"virtual"`
	Note     string    `json:"note"`
	Trouble  string    `json:"trouble"` // also why no more is known of the run
}

// List returns the finished runs in dir, the newest first. A table that is not a run
// file is left out; a run whose description lacks or cannot be read is in the list
// and says so.
func List(dir *os.Root) ([]Info, error) {
	entries, err := index(dir)
	if err != nil {
		return nil, err
	}
	all := make([]Info, 0, len(entries))
	for _, e := range entries {
		one, err := describeEntry(dir, e)
		if err == nil {
			all = append(all, one)
		}
	}
	slices.SortFunc(all, func(a, b Info) int {
		return cmp.Or(b.Created.Compare(a.Created), cmp.Compare(b.Name, a.Name))
	})
	return all, nil
}

// Find returns the run called name. The name is only compared with those that are
// in the folder: no path is ever made from it.
func Find(dir *os.Root, name string) (Info, error) {
	entries, err := index(dir)
	if err != nil {
		return Info{}, err
	}
	for _, e := range entries {
		if strings.TrimSuffix(e.Name(), csvExt) == name {
			return describeEntry(dir, e)
		}
	}
	return Info{}, fmt.Errorf("%w: %q", ErrNoRun, name)
}

// OpenNamed opens the run called name; see [Find] for the name and [Open] for the rest.
func OpenNamed(dir *os.Root, name string) (*Reader, error) {
	info, err := Find(dir, name)
	if err != nil {
		return nil, err
	}
	return open(dir, info.File)
}

// index returns the entries that may be run files.
func index(dir *os.Root) ([]fs.DirEntry, error) {
	entries, err := fs.ReadDir(dir.FS(), ".")
	if err != nil {
		return nil, fmt.Errorf("list the runs in %s: %w", dir.Name(), err)
	}
	return slices.DeleteFunc(entries, func(e fs.DirEntry) bool {
		return !e.Type().IsRegular() || !strings.HasSuffix(e.Name(), csvExt)
	}), nil
}

// describeEntry tells what is known of a file. Its error says that it is no run.
func describeEntry(dir *os.Root, e fs.DirEntry) (Info, error) {
	name := strings.TrimSuffix(e.Name(), csvExt)
	one := Info{Name: name, File: e.Name(), Title: name}
	file, err := e.Info()
	if err != nil {
		return one, err // removed since
	}
	one.Size, one.Created = file.Size(), file.ModTime().UTC()
	m, err := readMeta(dir, name)
	if errors.Is(err, fs.ErrNotExist) {
		return one, describeBare(dir, &one)
	}
	one.MetaFile = name + metaExt
	if err != nil {
		one.Trouble = err.Error()
		return one, nil
	}
	one.Title, one.Bench, one.Created, one.Note = m.Title, m.Setup.Name, m.Created, m.Note
	one.Rows, one.Length = m.Rows, m.Length
	one.Complete, one.Virtual, one.Trouble = m.Complete, m.Virtual, m.Trouble
	return one, nil
}

// describeBare sees whether a table without description is a run file at all.
func describeBare(dir *os.Root, one *Info) error {
	one.Trouble = "no description lies beside it: its rows have not been counted"
	r, err := open(dir, one.File)
	if errors.Is(err, ErrForeign) {
		return err
	}
	if err != nil {
		one.Trouble = err.Error()
		return nil
	}
	return r.Close()
}

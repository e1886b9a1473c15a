package collect

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
)

const (
	csvExt  = ".csv"
	partExt = ".csv.part"
	keptExt = ".trials.json"
)

// Options say how trials are collected.
type Options struct {
	Rule     trials.Rule // by which trials worked out anew are over, where none is kept
	Ruled    bool        // Rule counts whatever is kept
	Again    bool        // work out anew also what is kept
	Keep     bool        // keep what was worked out anew, beside its run
	Software string      // name and version of the program, for what is kept
}

// Found is what was collected.
type Found struct {
	Kept     []kept.Kept // the oldest run first
	Troubles []Trouble
}

// Trouble is what must be known of a file, or why it was passed over.
type Trouble struct {
	Path  string
	Cause error
	Lost  bool // trials may be missing because of it
}

func (t Trouble) Error() string { return t.Path + ": " + t.Cause.Error() }

// Trials collects what lies at paths: run files, tables of trials, folders of both. It
// fails never; what went wrong is told.
func Trials(paths []string, o Options) Found {
	c := collector{Options: o, seen: map[string]bool{}}
	for _, path := range paths {
		info, err := os.Stat(path)
		switch {
		case err != nil:
			c.trouble(path, true, plain(err))
		case info.IsDir():
			c.folder(path)
		default:
			c.file(path)
		}
	}
	c.merge()
	slices.SortStableFunc(c.Kept, func(a, b kept.Kept) int {
		return cmp.Or(a.Created.Compare(b.Created), cmp.Compare(a.Run, b.Run))
	})
	return c.Found
}

type collector struct {
	Options
	Found
	seen   map[string]bool // paths taken, so that none counts twice
	tables []table
}

func (c *collector) trouble(path string, lost bool, cause error) {
	c.Troubles = append(c.Troubles, Trouble{path, cause, lost})
}

// plain leaves out what the path beside it says already.
func plain(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	return err
}

// folder takes every run of a folder, and whatever is kept of runs that are gone.
func (c *collector) folder(path string) {
	dir, err := os.OpenRoot(path)
	if err != nil {
		c.trouble(path, true, plain(err))
		return
	}
	defer dir.Close()
	entries, err := fs.ReadDir(dir.FS(), ".")
	if err != nil {
		c.trouble(path, true, plain(err))
		return
	}
	any := false
	for _, e := range entries {
		name := e.Name()
		if !e.Type().IsRegular() {
			continue
		}
		run, isKept := strings.CutSuffix(name, keptExt)
		switch {
		case strings.HasSuffix(name, partExt):
			c.trouble(filepath.Join(path, name), true, errors.New("a run that is being recorded, or was not closed: it is repaired when the bench is started next"))
		case strings.HasSuffix(name, csvExt):
			c.in(dir, path, name)
		case isKept && run != "":
			if _, err := dir.Lstat(run + csvExt); errors.Is(err, fs.ErrNotExist) {
				c.widow(dir, path, run)
			}
		default:
			continue
		}
		any = true
	}
	if !any {
		c.trouble(path, false, errors.New("there is no run in this folder"))
	}
}

// file takes one run file, or one table of trials.
func (c *collector) file(path string) {
	parent := filepath.Dir(path)
	dir, err := os.OpenRoot(parent)
	if err != nil {
		c.trouble(path, true, plain(err))
		return
	}
	defer dir.Close()
	if filepath.Ext(path) != csvExt {
		c.trouble(path, false, errors.New("it is neither a run file nor a table of trials: their names end in .csv"))
		return
	}
	c.in(dir, parent, filepath.Base(path))
}

// in takes one file of a folder.
func (c *collector) in(dir *os.Root, path, name string) {
	at := filepath.Join(path, name)
	if whole, err := filepath.Abs(at); err == nil {
		if c.seen[whole] {
			return
		}
		c.seen[whole] = true
	}
	run := strings.TrimSuffix(name, csvExt)
	if !c.Again {
		k, err := kept.Read(dir, run)
		switch {
		case err == nil && k.Trials == nil: // not judged yet
		case err == nil:
			c.Kept = append(c.Kept, k)
			if changed(dir, name, run+keptExt) {
				c.trouble(at, false, errors.New("it was changed after its trials were judged: --again judges them anew"))
			}
			return
		case !errors.Is(err, fs.ErrNotExist):
			c.trouble(filepath.Join(path, run+keptExt), false, fmt.Errorf("%w; they are worked out anew here", plain(err)))
		}
	}
	c.work(dir, at, name, run)
}

// widow takes what is kept of a run that is not there.
func (c *collector) widow(dir *os.Root, path, run string) {
	at := filepath.Join(path, run+keptExt)
	k, err := kept.Read(dir, run)
	if err != nil {
		c.trouble(at, true, plain(err))
		return
	}
	c.Kept = append(c.Kept, k)
	c.trouble(at, false, errors.New("the run that it belongs to is not in the folder: its trials are taken as they were judged"))
}

// changed reports whether a file was written after another.
func changed(dir *os.Root, name, after string) bool {
	a, err := dir.Stat(name)
	if err != nil {
		return false
	}
	b, err := dir.Stat(after)
	return err == nil && a.ModTime().After(b.ModTime())
}

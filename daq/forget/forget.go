// Package forget answers: how is what people wrote taken out of a folder of runs, so that
// it can be passed on?
//
// In: a folder. Out: the notes of its runs and the labels of its groups are gone from
// every file of ours, each replaced as a whole or not at all; readings, results and
// everything else stay byte for byte. What groups handed in is theirs throughout, and goes
// as a whole. It says of every file what it did, and which other files still hold one of
// the texts.
//
// It refuses a folder that a bench is recording into.
package forget

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strings"

	"joulewell/daq/runfile"
)

// written lists what people write, by the file's name, or its end where it begins with a
// point, and the key it stands under.
var written = []struct{ name, key string }{
	{".csv-metadata.json", "https://joulewell.example/ns#note"},
	{".trials.json", "group"},
	{"series.json", "group"},
}

// handIns is the folder in which lies what groups handed in.
const handIns = "hand-ins"

// leftover is added to the name of a file that was being replaced when a program ended.
const leftover = ".tmp"

// Done says what became of a file.
type Done struct {
	File    string
	Taken   int   // [1] texts taken out
	Removed bool  // a leftover or a hand-in, which is gone
	Still   bool  // another program's file, which holds one of the texts: it was left alone
	Err     error // why the file could not be seen to
}

// Folder takes notes and labels out of the files in dir. The answer names every file that
// was changed or could not be; its error says that nothing was begun.
func Folder(dir *os.Root) ([]Done, error) {
	hold, err := runfile.Hold(dir)
	if err != nil {
		return nil, fmt.Errorf("%w: end that one first", err)
	}
	defer hold.Close()
	if err := runfile.Idle(dir); err != nil {
		return nil, err
	}
	entries, err := fs.ReadDir(dir.FS(), ".")
	if err != nil {
		return nil, err
	}
	f := forgetter{dir: dir, texts: map[string]bool{}}
	var others []string
	for _, e := range entries {
		switch {
		case e.IsDir() && e.Name() == handIns:
			f.remove(handIns)
		case e.Type().IsRegular() && !f.see(e.Name()):
			others = append(others, e.Name())
		}
	}
	for _, name := range others {
		f.search(name)
	}
	return f.done, nil
}

type forgetter struct {
	dir   *os.Root
	done  []Done
	texts map[string]bool // that were taken out
}

// see deals with a file of ours and reports whether it is one.
func (f *forgetter) see(name string) bool {
	whole, left := strings.CutSuffix(name, leftover)
	for _, w := range written {
		if whole != w.name && !(w.name[0] == '.' && strings.HasSuffix(whole, w.name)) {
			continue
		}
		if left {
			err := f.dir.Remove(name)
			if errors.Is(err, fs.ErrNotExist) {
				err = nil // it went when its file was replaced
			}
			f.done = append(f.done, Done{File: name, Removed: true, Err: err})
		} else {
			f.clear(name, w.key)
		}
		return true
	}
	return false
}

// remove takes a folder away with all files in it.
func (f *forgetter) remove(folder string) {
	entries, err := fs.ReadDir(f.dir.FS(), folder)
	if err != nil {
		f.done = append(f.done, Done{File: folder, Err: err})
	}
	for _, e := range entries {
		name := path.Join(folder, e.Name())
		f.done = append(f.done, Done{File: name, Removed: true, Err: f.dir.Remove(name)})
	}
	f.dir.Remove(folder) // its name says nothing
}

func (f *forgetter) clear(name, key string) {
	d := Done{File: name}
	text, err := f.dir.ReadFile(name)
	if err == nil {
		var texts []string
		if text, texts, err = blank(text, key); err != nil {
			err = fmt.Errorf("%w: look what it holds, and remove it by hand", err)
		}
		for _, t := range texts {
			f.texts[t] = true
		}
		if d.Taken = len(texts); d.Taken > 0 && err == nil {
			err = runfile.Replace(f.dir, name, text)
		}
	}
	if d.Err = err; err != nil || d.Taken > 0 {
		f.done = append(f.done, d)
	}
}

// search looks whether a file that is not ours holds one of the texts. Short ones, which
// stand by chance in any table, are not looked for.
func (f *forgetter) search(name string) {
	const short, large = 3, 64 << 20 // [characters], [bytes]
	info, err := f.dir.Stat(name)
	if err != nil || info.Size() > large {
		return
	}
	text, err := f.dir.ReadFile(name)
	for t := range f.texts {
		if err == nil && len(t) > short && bytes.Contains(text, []byte(t)) {
			f.done = append(f.done, Done{File: name, Still: true})
			return
		}
	}
}

// errJSON is wrapped where a file of ours is not what it should be.
var errJSON = errors.New("it cannot be read")

package series

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"joulewell/daq/runfile"
)

// memoryFile holds what must outlive the program.
const memoryFile = "series.json"

const memoryVersion = 1

// memory is what outlives the program.
type memory struct {
	Version  int        `json:"version"`
	Sealed   bool       `json:"sealed"`
	Asked    Asked      `json:"asked"`    // that the seal is about
	Unjudged []recorded `json:"unjudged"` // runs, in the order in which they were begun

	unsaved bool // the disk would not take it
}

// recall reads the memory. One that cannot be read counts as sealed: what was closed must
// not open by itself.
func (s *Series) recall() {
	m, err := readMemory(s.dir)
	if err != nil {
		s.opt.Log.Warn("the series' memory cannot be read", "cause", err)
		s.troubles.end = fmt.Sprintf("%s cannot be read (%v): results count as sealed until somebody opens them", memoryFile, err)
	}
	s.memory = m
}

// SealedIn reports whether the results in a folder are withheld by the series that
// records into it.
func SealedIn(dir *os.Root) bool {
	m, _ := readMemory(dir) // one that cannot be read counts as sealed
	return m.Sealed
}

func readMemory(dir *os.Root) (m memory, err error) {
	text, err := dir.ReadFile(memoryFile)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return m, nil
	case err == nil:
		if err = json.Unmarshal(text, &m); err == nil && m.Version != memoryVersion {
			err = fmt.Errorf("it is of version %d, and this program reads %d", m.Version, memoryVersion)
		}
	}
	if err != nil {
		m = memory{Sealed: true}
	}
	return m, err
}

// remember writes the memory. The lock is held.
func (s *Series) remember() {
	s.memory.Version = memoryVersion
	text, err := json.MarshalIndent(&s.memory, "", " ")
	if err == nil {
		err = runfile.Replace(s.dir, memoryFile, append(text, '\n'))
	}
	s.memory.unsaved = err != nil
	if err != nil {
		s.troubles.keep = fmt.Sprintf("write %s: %v: it is written when the disk takes it", memoryFile, err)
	}
}

// Seal withholds results until [Series.Unseal] or a hand-in of the sheet.
func (s *Series) Seal(a Asked) error {
	if err := a.check(); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if a.Run != "" {
		if _, err := s.find(a.Run, a.Index); err != nil {
			return err
		}
	}
	s.memory.Asked = a
	s.seal(true)
	s.remember()
	return nil
}

// Unseal shows results again.
func (s *Series) Unseal() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.seal(false)
	s.remember()
}

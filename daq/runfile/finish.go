package runfile

import (
	"bytes"
	"errors"
	"fmt"
	"time"
)

// Close ends the run: all rows written and synced, the description completed, the
// file named NAME.csv. It waits for the disk, so call it where that does no harm;
// State may be asked meanwhile.
//
// final is the description as known at the end; its table, rows and trouble are
// seen to here. The error says what is missing: rows that the disk would not take,
// or a file that keeps its .part name, which [Repair] then completes. The file is
// closed and the goroutines have ended whatever it says. A second Close only
// returns the first one's error.
func (r *Recorder) Close(final Meta) error {
	r.once.Do(func() {
		r.mu.Lock()
		r.closed = true
		r.mu.Unlock()
		close(r.stop)
		r.done.Wait()
		if r.end = r.finish(final); r.end != nil {
			r.end = fmt.Errorf("close the run %s: %w", r.name, r.end)
		}
	})
	return r.end
}

func (r *Recorder) finish(final Meta) error {
	unwritten := r.drain()
	r.sync()
	var err error
	if unwritten != nil {
		err = r.cut()
	}
	if err == nil {
		err = r.settle(final)
	}
	if e := r.file.Close(); err == nil {
		err = e
	}
	return errors.Join(unwritten, err)
}

// drain writes all that waits, or gives it up as lost after CloseWait.
func (r *Recorder) drain() error {
	deadline := time.NewTimer(r.o.CloseWait)
	defer deadline.Stop()
	for wait := r.o.FlushEvery; ; wait = min(2*wait, maxBackoff) {
		err := r.flush()
		if err == nil && len(r.pending) == 0 {
			return nil
		}
		if err == nil {
			continue
		}
		retry := time.NewTimer(wait)
		select {
		case <-retry.C:
		case <-deadline.C:
			retry.Stop()
			return r.giveUp(err)
		}
	}
}

func (r *Recorder) giveUp(why error) error {
	left := bytes.Count(r.batch, []byte("\n")) + bytes.Count(r.pending, []byte("\n"))
	if r.good == 0 {
		left-- // the header
	}
	r.batch, r.pending = nil, nil
	r.rows.Add(-uint64(left))
	r.lost.Add(uint64(left))
	return fmt.Errorf("%d rows are lost: %w", left, why)
}

// cut removes a torn row behind those that were written, and counts anew.
func (r *Recorder) cut() error {
	if err := r.file.Truncate(r.good); err != nil {
		return err
	}
	file, err := r.dir.Open(r.name + partExt)
	if err != nil {
		return err
	}
	defer file.Close()
	found, err := survey(file)
	r.count = found.count
	return err
}

// settle puts description and file in their final places. The description goes
// first: should the rename not come to pass, a repair finds everything.
func (r *Recorder) settle(final Meta) error {
	if _, err := r.dir.Lstat(r.name + csvExt); err == nil {
		return fmt.Errorf("%w: %s appeared meanwhile", ErrTaken, r.name+csvExt)
	}
	meta := r.conclude(final)
	text, err := meta.encode()
	if err != nil {
		return err
	}
	if err := replace(r.o.Disk, r.name+metaExt, text); err != nil {
		return err
	}
	if err := r.o.Disk.Rename(r.name+partExt, r.name+csvExt); err != nil {
		return err
	}
	return r.o.Disk.Sync()
}

// conclude completes final with what became of the rows.
func (r *Recorder) conclude(final Meta) Meta {
	m := final.describe(r.name)
	r.count.into(&m)
	m.Lost = r.lost.Load()
	for _, text := range r.past {
		m.complain(text)
	}
	if m.Lost > 0 {
		m.complain(lostText(m.Lost))
	}
	m.Complete = m.Lost == 0 && r.suspect.Load() == nil
	return m
}

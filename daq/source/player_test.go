package source

import "time"

// script is a player of given chunks.
type script struct {
	chunks []chunk
	next   int
}

type chunk struct {
	at   time.Duration
	text string
}

func (s *script) Next() ([]byte, int64, bool) {
	if s.next == len(s.chunks) {
		return nil, 0, false
	}
	c := s.chunks[s.next]
	s.next++
	return []byte(c.text), int64(c.at), true
}

// endless sends the same chunk at even times for ever.
type endless struct {
	every time.Duration
	text  string
	at    time.Duration
}

func (e *endless) Next() ([]byte, int64, bool) {
	e.at += e.every
	return []byte(e.text), int64(e.at), true
}

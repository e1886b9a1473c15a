package source

// PtyOptions says how a device is played into a pseudo-terminal.
type PtyOptions struct {
	Link  string            // symbolic link to keep pointing at the terminal; empty = none
	Speed float64           // [1] 1 = real time; 0 (or less) = the device waits for the reader, and nothing is lost
	Clock Clock             // paces the device; nil = one that starts now
	Ready func(path string) // called once with the path to open: Link, or the terminal's own
}

// PtyCounts says what became of the device's output.
type PtyCounts struct {
	Opens   int   // [1] times that a reader opened the terminal
	Asks    int   // [1] times that a reader sent a question mark
	Sent    int64 // [byte] taken by the terminal
	Unheard int64 // [byte] thrown away while nobody had the terminal open
	Dropped int64 // [byte] thrown away because the reader was too slow
}

// Restarter is a [Player] that can start anew, as a board does when its port is opened.
// Times go on rising over a restart: the world did not stop.
type Restarter interface{ Restart() }

// Asker is a [Player] that announces its columns when it receives a question mark.
type Asker interface{ Ask() }

//go:build race

package drift

// raced says that the race detector slows every test down; statistics do not need it.
const raced = true

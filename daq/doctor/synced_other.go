//go:build !linux

package doctor

// unsynced does not know here, and never objects.
func unsynced() bool { return false }

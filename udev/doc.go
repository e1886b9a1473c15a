// Package udev holds what an installation on a Linux host needs besides the binary:
// device rules, the user, and the service unit. It has no code, only tests that read
// these files as the system would.
package udev

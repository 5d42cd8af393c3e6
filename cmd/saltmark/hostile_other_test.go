//go:build !linux

package main

// commandsOfTests are the commands that the binary of the tests has beside the program:
// none where the peak of a process is not told in the way of Linux.
func commandsOfTests() map[string]func() { return nil }

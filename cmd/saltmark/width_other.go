//go:build !linux && !darwin

package main

import "os"

// columnsOf would ask a terminal how wide it is; here nobody says.
func columnsOf(*os.File) int { return 0 }

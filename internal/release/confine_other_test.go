//go:build !linux

package main

import "os/exec"

func confine(*exec.Cmd, string) bool { return false }

//go:build !linux

package durable

const settles = false

func settle(string) error { return nil }

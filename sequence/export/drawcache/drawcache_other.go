//go:build !unix

// Package drawcache has nothing to do where the folder for temporary files is the user's own.
package drawcache

// Over does nothing.
func Over() {}

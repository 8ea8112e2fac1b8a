// Package history keeps a run so that it can be gone back in, looked at in any of its
// moments, and branched.
package history

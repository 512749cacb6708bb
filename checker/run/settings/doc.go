// Package settings reads pintle.toml, the one settings file that a project may
// carry: which rules speak at which severity, the limits that they measure
// against, and the paths that are left out when a folder is walked.
package settings

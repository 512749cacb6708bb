// Package hover says what the word under a pointer is, in the design that is read: its declaration, its values, its
// current, the states that it can be in, whether what it claims holds.
package hover

package dc

// OneAtATime makes c change one valve at a time from the start: the safeguard alone.
func OneAtATime(c *Compiled) *Compiled {
	c.patience = 0
	return c
}

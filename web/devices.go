package web

// ownerPages are what only the owner at the machine may see and do.
func (s *Site) ownerPages() map[string]handler {
	return map[string]handler{}
}

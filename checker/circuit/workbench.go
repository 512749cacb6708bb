package circuit

type workbench struct{}

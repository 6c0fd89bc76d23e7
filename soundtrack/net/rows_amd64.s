//go:build !purego

#include "textflag.h"

// func add3x4(acc, a, b, c *float32, n int, u, v, w float32)
TEXT ·add3x4(SB), NOSPLIT, $0-52
	MOVQ   acc+0(FP), DI
	MOVQ   a+8(FP), SI
	MOVQ   b+16(FP), DX
	MOVQ   c+24(FP), R8
	MOVQ   n+32(FP), CX
	MOVSS  u+40(FP), X0
	SHUFPS $0, X0, X0
	MOVSS  v+44(FP), X1
	SHUFPS $0, X1, X1
	MOVSS  w+48(FP), X2
	SHUFPS $0, X2, X2
	XORQ   AX, AX

next:
	MOVUPS (DI)(AX*4), X3
	MOVUPS (SI)(AX*4), X4
	MULPS  X0, X4
	ADDPS  X4, X3
	MOVUPS (DX)(AX*4), X5
	MULPS  X1, X5
	ADDPS  X5, X3
	MOVUPS (R8)(AX*4), X6
	MULPS  X2, X6
	ADDPS  X6, X3
	MOVUPS X3, (DI)(AX*4)
	ADDQ   $4, AX
	CMPQ   AX, CX
	JLT    next
	RET

// func dot8(sum *[8]float32, a, b *float32, n int)
TEXT ·dot8(SB), NOSPLIT, $0-32
	MOVQ  sum+0(FP), DI
	MOVQ  a+8(FP), SI
	MOVQ  b+16(FP), DX
	MOVQ  n+24(FP), CX
	XORPS X0, X0
	XORPS X1, X1
	XORQ  AX, AX

more:
	MOVUPS (SI)(AX*4), X2
	MOVUPS (DX)(AX*4), X3
	MULPS  X3, X2
	ADDPS  X2, X0
	MOVUPS 16(SI)(AX*4), X4
	MOVUPS 16(DX)(AX*4), X5
	MULPS  X5, X4
	ADDPS  X4, X1
	ADDQ   $8, AX
	CMPQ   AX, CX
	JLT    more
	MOVUPS X0, (DI)
	MOVUPS X1, 16(DI)
	RET

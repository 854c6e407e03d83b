//! Every key has words, and words say what they are asked to.


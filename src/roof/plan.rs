//! The geometry of the plan: corners, faces, distances.

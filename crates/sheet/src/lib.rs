//! The register, the design and its report.

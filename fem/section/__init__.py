"""The beam's section by Saint-Venant."""
